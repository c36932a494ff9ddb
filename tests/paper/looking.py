"""Looks at finished PDFs the way a reader or a printer does: words, pictures, measured ink."""

import io
import re
import shutil
import subprocess
import tempfile
from functools import lru_cache
from typing import Any

import numpy as np
import pikepdf
import pypdfium2  # type: ignore[import-untyped]  # it ships no types
import pypdfium2.raw as pdfium  # type: ignore[import-untyped]
import pytest
import zxingcpp
from PIL import Image

from tests.paper import reading
from tests.paper.reading import Word

MM_PER_PT = 25.4 / 72
NOT_PRINTED = 4.5  # many printers leave a sixth of an inch white all round [common practice]


def words(pdf: bytes, page: int = 0) -> list[Word]:
    """The words of a page: where they stand and how large they are set, in millimeters."""
    return [
        Word(word_text, *(edge * MM_PER_PT for edge in box))
        for word_text, *box in reading.words(reading.letters(pdf)[page])
    ]


@lru_cache(maxsize=32)
def text(pdf: bytes) -> str:
    """All text, as a reader copies it out: single spaces."""
    return re.sub(r"\s+", " ", " ".join(map(reading.text, reading.letters(pdf))))


def wheels(pdf: bytes, page: int = 0) -> list[reading.Letter]:
    """The marks of a chart that say "cleared", each with its box in points."""
    return [letter for letter in reading.letters(pdf)[page] if "Marks" in letter.font]


def photos_and_links(pdf: bytes) -> int:
    """How many pictures made of dots, and places to click on, its pages hold."""
    with pypdfium2.PdfDocument(pdf) as opened:
        photos = sum(len(list(page.get_objects([pdfium.FPDF_PAGEOBJ_IMAGE]))) for page in opened)
        return photos + sum(pdfium.FPDFPage_GetAnnotCount(page) for page in opened)


def page_sizes(pdf: bytes) -> list[tuple[float, float]]:
    """Width and height of each page in millimeters."""
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        boxes = [page.mediabox for page in opened.pages]
        return [(float(box[2]) * MM_PER_PT, float(box[3]) * MM_PER_PT) for box in boxes]


def white_edge(pdf: bytes) -> float:
    """How near a letter comes to an edge of its page, in millimeters."""
    return min(
        min(word.x0, word.top, wide - word.x1, high - word.bottom)
        for page, (wide, high) in enumerate(page_sizes(pdf))
        for word in words(pdf, page)
    )


def raster(pdf: bytes, page: int = 0, dpi: int = 150, *, one_bit: bool = False) -> Image.Image:
    """The page as a printer's dots."""
    return black_or_white(pdf, page, dpi) if one_bit else greys(pdf, page, dpi)


@lru_cache(maxsize=4)
def greys(pdf: bytes, page: int, dpi: int) -> Image.Image:
    with pypdfium2.PdfDocument(pdf) as opened:
        opened_page = opened[page]
        wide, high = (round(points * dpi / 72) for points in opened_page.get_size())
        bitmap = pypdfium2.PdfBitmap.new_native(wide, high, pdfium.FPDFBitmap_Gray)
        bitmap.fill_rect((255, 255, 255, 255), 0, 0, wide, high)
        pdfium.FPDF_RenderPageBitmap(bitmap, opened_page, 0, 0, wide, high, 0, pdfium.FPDF_GRAYSCALE)
        return bitmap.to_pil().copy()


def black_or_white(pdf: bytes, page: int, dpi: int) -> Image.Image:
    """By a program that draws every dot wholly or not at all, as a printer does; it takes ten times as long."""
    if not shutil.which("pdftoppm"):
        pytest.skip("no pdftoppm (apt-get install poppler-utils)")
    command = ["pdftoppm", "-r", str(dpi), "-f", str(page + 1), "-l", str(page + 1), "-mono", "-"]
    done = subprocess.run(command, input=pdf, capture_output=True, check=True)
    return Image.open(io.BytesIO(done.stdout)).convert("L")


def squares(pdf: bytes, page: int = 0, dpi: int = 150) -> list[Any]:
    """What a scanner finds on a one-bit raster of the page: texts and positions."""
    return list(zxingcpp.read_barcodes(raster(pdf, page, dpi, one_bit=True)))


def codes(pdf: bytes, page: int = 0, dpi: int = 150) -> list[str]:
    """The texts alone."""
    return [square.text for square in squares(pdf, page, dpi)]


def ink_height(picture: Image.Image, dpi: int, word: Word, letter_width: float) -> float:
    """Height in millimeters of the ink of a word's first letter."""
    per_mm = dpi / 25.4
    box = (word.x0, word.top, word.x0 + letter_width, word.bottom)
    left, top, right, bottom = (round(edge * per_mm) for edge in box)
    dots = np.asarray(picture.crop((left, top, right, bottom))) < 128
    rows = np.flatnonzero(dots.any(axis=1))
    runs = np.split(rows, np.flatnonzero(np.diff(rows) > 1) + 1)  # the box may hold tips of the lines above and below
    return float(max(len(run) for run in runs)) / per_mm


def qpdf_complaints(pdf: bytes) -> str:
    """What `qpdf --check` says against a PDF; empty if nothing."""
    if not shutil.which("qpdf"):
        pytest.skip("no qpdf (apt-get install qpdf)")
    with tempfile.NamedTemporaryFile(suffix=".pdf") as file:
        file.write(pdf)
        file.flush()
        done = subprocess.run(["qpdf", "--check", file.name], capture_output=True, check=False)
    return "" if done.returncode == 0 else (done.stdout + done.stderr).decode()


def structure(pdf: bytes) -> dict[str, Any]:
    """Title, language, how often each structure tag is in the tree, and figures without an alternative."""
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        counts: dict[str, int] = {}
        silent = 0
        todo: list[Any] = [opened.Root.StructTreeRoot]
        while todo:
            node = todo.pop()
            if isinstance(node, pikepdf.Array):
                todo.extend(node)
            elif isinstance(node, pikepdf.Dictionary):
                tag = str(node.get("/S", ""))
                counts[tag] = counts.get(tag, 0) + 1
                silent += tag == "/Figure" and "/Alt" not in node
                todo.append(node.get("/K", 0))
        with opened.open_metadata() as metadata:
            part = str(metadata.get("pdfuaid:part", ""))
        return {
            "title": str(opened.docinfo.get("/Title", "")),
            "lang": str(opened.Root.get("/Lang", "")),
            "marked": bool(opened.Root.MarkInfo.Marked),
            "ua": part,
            "tags": counts,
            "silent_figures": silent,
        }
