"""Reads the metrics of the font files we print with, once each, and finds the fallbacks for other scripts.

Our own fonts draw Latin letters, Vietnamese among them. Every other script is drawn in Noto, which the set-up installs
where it may (Debian: fonts-noto-core, fonts-noto-cjk). What none of them draws is not printed.
"""

from collections.abc import Iterator, Mapping
from functools import cache, cached_property
from pathlib import Path

from django.conf import settings
from fontTools.ttLib import TTFont

from shopsafe.paper.rules.legibility import Metrics, missing_letters

FONTS = Path(settings.BASE_DIR) / "static" / "fonts"
INSTALLED = (Path("/usr/share/fonts"), Path("/usr/local/share/fonts"), Path.home() / ".local/share/fonts")
CJK = "NotoSansCJK-Bold.ttc"
# Those that names most often need come first: a file is opened when the ones before it lack a letter. The stylesheet
# lists the same families.
SCRIPTS = (
    "", "Arabic", "Hebrew", "Devanagari", "CJK", "Bengali", "Gurmukhi", "Gujarati", "Tamil", "Telugu", "Kannada",
    "Malayalam", "Oriya", "Sinhala", "Thai", "Lao", "Khmer", "Myanmar", "Ethiopic", "Georgian", "Armenian", "Thaana",
    "Cherokee", "CanadianAboriginal",
)  # fmt: skip


@cache
def read_metrics(path: Path) -> Metrics:
    """Metrics of one TrueType or OpenType file (the first face of a collection)."""
    font = TTFont(path, fontNumber=0, lazy=True)
    table = font["hmtx"]
    advances = {code: table[glyph][0] for code, glyph in font.getBestCmap().items()}
    return Metrics(
        family=font["name"].getBestFamilyName(),
        units_per_em=font["head"].unitsPerEm,
        cap_height=font["OS/2"].sCapHeight,
        advances=advances,
    )


class Advances(Mapping[int, int]):
    """Advances of a fallback in thousandths of an em, read when the first letter is asked for: few sheets need one."""

    def __init__(self, path: Path) -> None:
        self.path = path

    @cached_property
    def read(self) -> Mapping[int, int]:
        metrics = read_metrics(self.path)
        return {code: units * 1000 // metrics.units_per_em for code, units in metrics.advances.items()}

    def __getitem__(self, code: int) -> int:
        return self.read[code]

    def __iter__(self) -> Iterator[int]:
        return iter(self.read)

    def __len__(self) -> int:
        return len(self.read)


@cache
def fallbacks() -> tuple[Metrics, ...]:
    """The fonts for other scripts that are installed here. Their capitals are never measured."""
    installed = {path.name: path for folder in INSTALLED for path in sorted(folder.rglob("Noto*Bold.tt[fc]"))}
    files = [CJK if script == "CJK" else f"NotoSans{script}-Bold.ttf" for script in SCRIPTS]
    return tuple(Metrics(name, 1000, 714, Advances(installed[name])) for name in files if name in installed)


def undrawable(text: str) -> tuple[str, ...]:
    """The letters of a text that no font here can draw, once each."""
    return missing_letters(text, (names_font(), reading_font(), *fallbacks()))


def names_font() -> Metrics:
    """What names are set in."""
    return read_metrics(FONTS / "BarlowSemiCondensed-SemiBold.ttf")


def heading_font() -> Metrics:
    """What machine names and headings are set in."""
    return read_metrics(FONTS / "BarlowSemiCondensed-Bold.ttf")


def reading_font() -> Metrics:
    """What rules and sentences are set in."""
    return read_metrics(FONTS / "AtkinsonHyperlegible-Regular.ttf")


def reading_font_bold() -> Metrics:
    """What stands out among sentences."""
    return read_metrics(FONTS / "AtkinsonHyperlegible-Bold.ttf")
