"""Compares a name as our sheets draw it with the same name drawn by another program from the same font file."""

from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from shopsafe.paper.press.worker import to_pdf
from tests.paper import looking

DPI = 150
HIGH = 96  # dots from the highest to the lowest ink, for both
WINDOW = 7  # dots: wider than the fuzz along an edge, smaller than an accent

type Ink = NDArray[np.float32]


SIZE = 24.0  # millimeters


def drawn_by_us(name: str) -> Ink:
    """The ink of a name set like those of a wall card, with our stylesheet and its fallbacks."""
    return cropped(sheet_of(name))


def width_by_us(name: str) -> float:
    """How wide its ink is, in millimeters."""
    columns = np.flatnonzero((np.asarray(sheet_of(name)) < 128).any(axis=0))
    return float(columns[-1] - columns[0] + 1) / DPI * 25.4


@cache
def sheet_of(name: str) -> Image.Image:
    style = f"--name: {SIZE}mm; --pitch: 40mm; --names-high: 60mm"
    html = f'<body class="any-size"><div class="card names" style="{style}"><ul><li>{name}</li></ul></div></body>'
    page = "<style>@page { size: 900mm 80mm; margin: 10mm }</style>"
    pdf = to_pdf([f'<html lang="en"><head><title>x</title>{page}</head>{html}</html>'], None)
    return looking.raster(pdf, dpi=DPI)


def reference(name: str, font: Path, index: int = 0) -> Ink:
    """The ink of the same name by FreeType, with HarfBuzz's shaping and FriBidi's order of letters."""
    face = opened(font, index)
    left, top, right, bottom = face.getbbox(name)
    picture = Image.new("L", (int(right - left) + 40, int(bottom - top) + 40), 255)
    ImageDraw.Draw(picture).text((20 - left, 20 - top), name, font=face, fill=0)
    return cropped(picture)


@cache
def opened(font: Path, index: int) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(font, 142, index=index, layout_engine=ImageFont.Layout.RAQM)


def cropped(picture: Image.Image) -> Ink:
    """1 where there is ink, cut to it and brought to one height."""
    dots = np.asarray(picture) < 128
    rows, columns = np.flatnonzero(dots.any(axis=1)), np.flatnonzero(dots.any(axis=0))
    box = (int(columns[0]), int(rows[0]), int(columns[-1]) + 1, int(rows[-1]) + 1)
    cut = picture.crop(box)
    wide = max(round(cut.width * HIGH / cut.height), 1)
    scaled = cut.resize((wide, HIGH), Image.Resampling.BOX)
    return 1 - np.asarray(scaled, dtype=np.float32) / 255


def difference(first: Ink, second: Ink) -> float:
    """How much ink at most is in one and not in the other, in any window the size of an accent (0 to 1)."""
    if abs(first.shape[1] - second.shape[1]) > 0.02 * max(first.shape[1], second.shape[1]) + 2:
        return 1.0
    wide = max(first.shape[1], second.shape[1])
    apart = np.abs(fitted(first, wide) - fitted(second, wide))
    sums = np.pad(apart, ((WINDOW, 0), (WINDOW, 0))).cumsum(axis=0).cumsum(axis=1)
    windows = sums[WINDOW:, WINDOW:] - sums[:-WINDOW, WINDOW:] - sums[WINDOW:, :-WINDOW] + sums[:-WINDOW, :-WINDOW]
    return float(windows.max()) / WINDOW**2


def fitted(ink: Ink, wide: int) -> Ink:
    scaled = Image.fromarray((ink * 255).astype(np.uint8)).resize((wide, HIGH), Image.Resampling.BILINEAR)
    return np.asarray(scaled, dtype=np.float32) / 255
