"""Reads the metrics of the font files we print with, once each, and finds the fallbacks for other scripts."""

from functools import cache
from pathlib import Path

from django.conf import settings
from fontTools.ttLib import TTFont

from shopsafe.paper.legibility import Metrics

FONTS = Path(settings.BASE_DIR) / "static" / "fonts"


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
