"""The tag of a machine that no one may start, and inspection sheets."""

from dataclasses import replace
from datetime import date
from io import BytesIO

import pikepdf
import zxingcpp

from shopsafe.paper.rules.upkeep_sheets import InspectionRows, InspectionSheet, Tag
from shopsafe.paper.upkeep import inspection_sheets, tag
from tests.paper import looking

POINT = 25.4 / 72  # millimeters
TAG = Tag(
    "Scroll saw 5", "Room W2", "The hold-down foot is cracked.", "Odile Ferrant", date(2026, 11, 27), "Tag-out 12",
    "HTTP://127.0.0.1:8000/MACHINES/5/",
)  # fmt: skip


def size_of(pdf: bytes) -> tuple[int, int]:
    with pikepdf.open(BytesIO(pdf)) as opened:
        assert len(opened.pages) == 1
        _, _, wide, high = (float(number) * POINT for number in opened.pages[0].MediaBox)
    return round(wide), round(high)


def test_tag_is_one_a6_page_that_says_all_and_leads_to_the_machine() -> None:
    pdf = tag(TAG)
    assert size_of(pdf) == (105, 148)
    text = " ".join(word.text for word in looking.words(pdf))
    for part in ("DO NOT START", "Scroll saw 5", TAG.reason, TAG.by, "27 November 2026", TAG.code):
        assert part in text
    assert zxingcpp.read_barcodes(looking.raster(pdf, dpi=150))[0].text == TAG.url


def test_longest_words_stay_above_the_name() -> None:
    pdf = tag(replace(TAG, machine="Combination belt and disc sander number 112", reason=("crack " * 60)[:300]))
    assert size_of(pdf) == (105, 148)
    words = looking.words(pdf)
    lowest = max(word.bottom for word in words if word.text == "crack")
    assert lowest < min(word.top for word in words if word.text == "Odile")


def test_inspection_sheet_has_a_row_a_line_with_its_source() -> None:
    rows = tuple(InspectionRows(f"Band saw {number}", (("The guard is on.", "common practice"),)) for number in (2, 3))
    text = " ".join(
        word.text for word in looking.words(inspection_sheets(InspectionSheet("Room W2", "daily", rows, TAG.since)))
    )
    assert text.count("The guard is on. common practice") == 2
    assert "Any “no”: keep off and tag out." in text
