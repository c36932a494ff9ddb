"""Makes static/fonts/Marks.ttf from static/marks.svg: the word "cleared" set in it draws the full wheel.

A drawing in each cell of a chart doubles the time a PDF takes; a letter costs nothing, and as a ligature the cell still
says "cleared" when it is copied out or read aloud. Only the full wheel is in the font: every other cell of a
chart stays blank. Run it after a change of the mark: `python .ci/fonts/marks_font.py`.
"""

import re
from pathlib import Path

from fontTools.feaLib.builder import addOpenTypeFeaturesFromString
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.cu2quPen import Cu2QuPen
from fontTools.pens.transformPen import TransformPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.svgLib.path import parse_path

STATIC = Path(__file__).resolve().parent.parent.parent / "static"
WORD = "cleared"
EM, SIDE = 1200, 24  # units of the font, of the drawing


def wheel() -> TTGlyphPen:
    """The symbol's path, turned upright and scaled to an em."""
    svg = (STATIC / "marks.svg").read_text()
    found = re.search(rf'<symbol id="{WORD}"[^>]*><path[^>]* d="([^"]+)"', svg)
    if not found:
        raise SystemExit(f"marks.svg has no symbol {WORD}")
    scale = EM / SIDE
    pen = TTGlyphPen(None)
    parse_path(found[1], TransformPen(Cu2QuPen(pen, max_err=0.5), (scale, 0, 0, -scale, 0, EM * 0.85)))
    return pen


def make() -> None:
    """Letters of the word are empty and take no room: they exist to be joined."""
    letters = sorted(set(WORD))
    order = [".notdef", *letters, "wheel"]
    empty = TTGlyphPen(None).glyph()
    builder = FontBuilder(EM, isTTF=True)
    builder.setupGlyphOrder(order)
    builder.setupCharacterMap({ord(letter): letter for letter in letters})
    builder.setupGlyf({name: wheel().glyph() if name == "wheel" else empty for name in order})
    builder.setupHorizontalMetrics({name: (EM if name == "wheel" else 0, 0) for name in order})
    builder.setupHorizontalHeader(ascent=round(EM * 0.85), descent=-round(EM * 0.15))
    builder.setupNameTable({"familyName": "Marks", "styleName": "Regular"})
    builder.setupOS2(sTypoAscender=round(EM * 0.85), sTypoDescender=-round(EM * 0.15), sCapHeight=EM)
    builder.setupPost()
    addOpenTypeFeaturesFromString(builder.font, f"feature liga {{ sub {' '.join(WORD)} by wheel; }} liga;")
    builder.font["head"].created = builder.font["head"].modified = 0  # the same drawing gives the same file
    builder.font.recalcTimestamp = False
    builder.save(STATIC / "fonts" / "Marks.ttf")


if __name__ == "__main__":
    make()
