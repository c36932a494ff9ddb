"""What all sheets share on their way to paper: fonts, sizes as style, QR codes, and what came out."""

import io
from dataclasses import dataclass

import pikepdf
from django.utils.safestring import SafeString, mark_safe

from shopsafe.paper import fonts
from shopsafe.paper.codes import qr_svg
from shopsafe.paper.rules.card_measures import Faces
from shopsafe.paper.rules.sheets import Paper


def faces() -> Faces:
    """The fonts of names, headings and sentences."""
    names, heading, reading = fonts.names_font(), fonts.heading_font(), fonts.reading_font()
    others = fonts.fallbacks()
    return Faces((names, *others), (heading, names, *others), (reading, names, *others))


@dataclass(frozen=True)
class LayoutResult:
    """What a print comes out as."""

    sheets: int
    reads: float  # meters
    paper: Paper


@dataclass(frozen=True)
class FinishedPrint:
    """A finished print, and what it came out as."""

    pdf: bytes
    sheets: int
    reads: float  # meters
    paper: Paper


def qr_square(url: str, says: str, side: float = 0.0) -> SafeString:
    """A QR code for a template; with `side`, as large as a larger one beside it."""
    return mark_safe(qr_svg(url, says=says, side=side))  # noqa: S308  drawn by us, text escaped there


def style(**lengths: float) -> str:
    """Custom properties in millimeters for one sheet's style attribute."""
    return "; ".join(f"--{name.replace('_', '-')}: {length:.3f}mm" for name, length in lengths.items())


def page_count(pdf: bytes) -> int:
    """How many sheets a print that flows came out as."""
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        return len(opened.pages)
