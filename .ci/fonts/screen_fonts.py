"""Makes the fonts of the screens from the fonts of the prints: WOFF2, the letters of most pages apart from the rest.

A browser fetches the other files of a weight only where a page has a letter of it, such as the ł of a name. Prints keep
the whole font in one file: a split one makes them draw wrong letters. Run it after a change of a font:
`python .ci/fonts/screen_fonts.py`. It also writes static/css/screen-fonts.css.
"""

from collections.abc import Iterable
from itertools import pairwise
from pathlib import Path

from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

STATIC = Path(__file__).resolve().parent.parent.parent / "static"
WEIGHTS = [
    ("Barlow Semi Condensed", 600, "BarlowSemiCondensed-SemiBold"),
    ("Barlow Semi Condensed", 700, "BarlowSemiCondensed-Bold"),
    ("Atkinson Hyperlegible", 400, "AtkinsonHyperlegible-Regular"),
    ("Atkinson Hyperlegible", 700, "AtkinsonHyperlegible-Bold"),
]
# Latin of English and the west of Europe, and the signs our pages set: dashes, quotes, dots, arrows, fractions.
MOST = {*range(0x20, 0x7F), *range(0xA0, 0x100), *map(ord, "ıŒœŠšŽžŸ–—‘’‚“”„•…›‹€™→←×⁄−≤≥")}
EUROPE = set(range(0x100, 0x250))  # Latin of the rest of Europe
FEATURES = ["kern", "liga", "ccmp", "locl", "mark", "mkmk"]  # our style sheets ask for no other


def part(name: str, letters: Iterable[int], ending: str) -> str:
    """Writes the part of a font with these letters; gives the file's name."""
    font = TTFont(STATIC / "fonts" / f"{name}.ttf", recalcTimestamp=False)
    options = Options(flavor="woff2", layout_features=FEATURES, hinting=False)
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=letters)
    subsetter.subset(font)
    font.flavor = "woff2"
    font.save(STATIC / "fonts" / f"{name}{ending}.woff2")
    return f"{name}{ending}.woff2"


def ranges(letters: Iterable[int]) -> str:
    """ "U+20-7E, U+A0" of the numbers of letters."""
    row = sorted(letters)
    starts = [row[0], *(after for before, after in pairwise(row) if after > before + 1)]
    ends = [*(before for before, after in pairwise(row) if after > before + 1), row[-1]]
    return ", ".join(f"U+{a:X}" if a == b else f"U+{a:X}-{b:X}" for a, b in zip(starts, ends, strict=True))


def make() -> None:
    lines = ["/* The fonts of the screens, made by .ci/fonts/screen_fonts.py. Prints have print/fonts.css. */"]
    for family, weight, name in WEIGHTS:
        has = set(TTFont(STATIC / "fonts" / f"{name}.ttf").getBestCmap())
        for letters, ending in ((has & MOST, ""), (has & EUROPE - MOST, "-europe"), (has - EUROPE - MOST, "-more")):
            source = f'src: url("../fonts/{part(name, letters, ending)}") format("woff2")'
            lines.append(
                f'@font-face {{ font-family: "{family}"; font-weight: {weight}; font-display: swap; {source};'
                f" unicode-range: {ranges(letters)}; }}"
            )
    (STATIC / "css" / "screen-fonts.css").write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    make()
