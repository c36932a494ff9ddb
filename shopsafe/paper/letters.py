"""Whether every letter of a sheet can be drawn, asked before it is printed: no box stands for a letter of a name."""

from collections.abc import Iterator, Sequence
from dataclasses import fields, is_dataclass, replace
from typing import Any
from unicodedata import category

from shopsafe.language.messages import _
from shopsafe.paper.fonts import undrawable
from shopsafe.paper.press.worker import PrintFailed

NOT_SET = {"url", "picture", "digest"}  # drawn as a square, as a picture, or in figures
SHORTENED = 60
CONTROLS = {"Cc", "Cs"}


def drawable[Sheet](sheet: Sheet) -> Sheet:
    """The sheet without control characters, which names kept before they were refused may still hold: one of them must
    not keep a shop from printing. Raises PrintFailed, with the name and the letters, for the first text that no font
    here can draw."""
    all_texts = dict.fromkeys(texts(sheet))
    if any(text != without_controls(text) for text in all_texts):
        sheet = cleaned(sheet)
        all_texts = dict.fromkeys(texts(sheet))
    for text in all_texts:
        if letters := undrawable(text):
            raise PrintFailed("print.no-letters", sentence(text, letters), 422)
    return sheet


def without_controls(text: str) -> str:
    """A tab or a line break is a space."""
    if text.isprintable():
        return text
    return "".join(
        " " if sign in "\t\r\n" else sign for sign in text if sign in "\t\r\n" or category(sign) not in CONTROLS
    )


def cleaned(part: Any) -> Any:
    """The same dataclass, tuple or text, `without_controls`."""
    if isinstance(part, str):
        return without_controls(part)
    if isinstance(part, (tuple, list)):
        return type(part)(cleaned(item) for item in part)
    if is_dataclass(part) and not isinstance(part, type):
        set_fields = (field.name for field in fields(part) if field.init and field.name not in NOT_SET)
        return replace(part, **{name: cleaned(getattr(part, name)) for name in set_fields})
    return part


def sentence(text: str, letters: Sequence[str]) -> str:
    """ "No font here can draw “𒀀” in “Ana 𒀀”. ..." """
    shown = text if len(text) <= SHORTENED else f"{text[:SHORTENED]}…"
    return _(
        "No font here can draw “{letters}” in “{shown}”, so nothing was printed. Have the fonts "
        "fonts-noto-core and fonts-noto-cjk installed on the server, or write it in other letters.",
        letters="”, “".join(letters),
        shown=shown,
    )


def texts(sheet: Any) -> Iterator[str]:
    """Every text that a sheet's dataclass sets in type."""
    if isinstance(sheet, str):
        yield sheet
    elif isinstance(sheet, (tuple, list)):
        for part in sheet:
            yield from texts(part)
    elif is_dataclass(sheet):
        for field in fields(sheet):
            if field.name not in NOT_SET:
                yield from texts(getattr(sheet, field.name))
