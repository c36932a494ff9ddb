"""A sheet's style with left and right exchanged, for a language that is read from right to left.

A browser has words for it (`margin-inline-start`), the press does not: its styles say left and right. The same exchange
makes the other sheet of every rule: sides, floats, margins of four values, and where a picture stands behind a text.
"""

import re

SIDE = {"left": "right", "right": "left"}
PROPERTY = re.compile(r"(?<![-\w])((?:margin|padding|border)-)?(left|right)(?=(?:-(?:color|width|style))?\s*:)")
VALUE = re.compile(r"(?<![-\w])(float|clear|text-align)(\s*:\s*)(left|right)\b")
MARGIN_BOX = re.compile(r"@(top|bottom)-(left|right)\b")
FOUR = re.compile(r"(?<![-\w])((?:margin|padding|inset|border-width)\s*:\s*)([^;{}]*[^;{}\s])")
PART = re.compile(r"(?:[^\s()]|\([^()]*(?:\([^()]*\)[^()]*)*\))+")  # a value; one in parentheses may hold spaces
PICTURE = re.compile(r"(no-repeat|background-position:)\s+0(?=\s)")


def mirrored(css: str) -> str:
    """The style as its mirror image. Names of our own such as `--left` stay: what they are used for is exchanged."""
    css = PROPERTY.sub(lambda match: (match[1] or "") + SIDE[match[2]], css)
    css = VALUE.sub(lambda match: f"{match[1]}{match[2]}{SIDE[match[3]]}", css)
    css = MARGIN_BOX.sub(lambda match: f"@{match[1]}-{SIDE[match[2]]}", css)
    css = PICTURE.sub(r"\1 100%", css)
    return FOUR.sub(_four, css)


def _four(match: re.Match[str]) -> str:
    parts = PART.findall(match[2])
    if len(parts) != 4:
        return match[0]
    top, right, bottom, left = parts
    return f"{match[1]}{top} {left} {bottom} {right}"
