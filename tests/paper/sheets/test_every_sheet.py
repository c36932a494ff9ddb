"""What holds of every sheet: it reads from where it says, in gray and copied, and its words come out as text."""

import subprocess
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from functools import cache
from types import SimpleNamespace
from typing import Any
from urllib.parse import quote

import numpy as np
import pytest
import zxingcpp
from PIL import Image, ImageFilter

from quizzes.banks.reviews.sheet import ReviewSheet, reviewers_pdf
from quizzes.banks.sources.rules import Source
from quizzes.facts import BankPicture, EditionText
from shopsafe.paper import fonts
from shopsafe.paper.press.render import render_pdf
from shopsafe.paper.rules.handout_sheets import PocketCard, PocketCards, SubstituteRow
from shopsafe.paper.rules.legibility import Metrics
from shopsafe.paper.rules.names import Name
from shopsafe.paper.rules.sheets import A4, LETTER, TABLOID, Slip, Slips, TagOutNote
from shopsafe.paper.rules.upkeep_sheets import InspectionRows, InspectionSheet
from shopsafe.paper.upkeep import inspection_sheets, tag
from tests.factories.bank_texts import a_bank
from tests.paper import looking, once, reading
from tests.paper.sheets.test_handouts import AGREEMENT, CLASS, DAY, FINGERS, HAIR, POSTERS, SUBSTITUTE
from tests.paper.sheets.test_names_drawn import MANY, noto
from tests.paper.sheets.test_wall_card import CARD, reads_from
from tests.paper.sheets.test_wall_chart import chart
from tests.paper.test_upkeep import TAG

NAMES = tuple(f"Ennis {number:02}" for number in range(14))
URL = "HTTP://127.0.0.1:8000/C/7K3D-QV"


@dataclass(frozen=True)
class Made:
    """A sheet, the word in it that must read from the stated distance, and the font of that word."""

    make: Callable[[], bytes]
    word: str
    font: Callable[[], Metrics]
    codes: int = 0  # squares on the first sheet
    code_page: int = 0


def pockets() -> PocketCards:
    cards = tuple(
        PocketCard(name, ("Hand drill 1", "Hinge press 2"), date(2026, 12, 18), "7K3D-QV", URL) for name in NAMES
    )
    return PocketCards("Period 3", "Alderbeck School", cards[:8], DAY)


def slips() -> Slips:
    return Slips("Period 3", "shop.example", tuple(Slip(name, name, "HKDF-HHHH", URL) for name in NAMES[:8]), DAY)


def review() -> ReviewSheet:
    """An edition with a question of each kind and a picture to point at."""
    drawing = BankPicture(digest="d", kind="svg", width=60, height=40)
    svg = "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 60 40'><path d='M0 0H60V40H0Z' fill='none'/></svg>"
    return ReviewSheet(
        school="Alderbeck School",
        demo=True,
        edition=2,
        digest="ab" * 32,
        published=DAY,
        printed=DAY,
        text=EditionText(bank=a_bank(), pictures={"saw.svg": drawing}),
        pictures={"d": f"data:image/svg+xml,{quote(svg)}"},
        sources=(Source(name="common practice"),),
    )


INSPECTION = InspectionSheet(
    "Room W2",
    "daily",
    tuple(InspectionRows(f"Band saw {n}", (("The guard is on.", "common practice"),) * 9) for n in range(5)),
    DAY,
    demo=True,
)


def incident() -> bytes:
    """A report with one student hurt, as the program words it."""
    at, zone = datetime(2026, 11, 26, 10, 40, tzinfo=UTC), "America/Chicago"
    known = SimpleNamespace(lines=[SimpleNamespace(label="Clearance for band saw 2", text="Cleared. " * 40)])
    version = SimpleNamespace(
        number=1, is_near_miss=False, sort="hurt", is_complete=True, get_sort_display="Someone was hurt",
        happened_at=at, machine="Band saw 2", known=known, digest="ab" * 32, entry_id=449, at=at,
        by=SimpleNamespace(name="Odile Ferrant"),
    )  # fmt: skip
    account = SimpleNamespace(
        student=SimpleNamespace(name="Jory Kemp"), known=known, hurt=True, get_hurt_display="To the nurse",
        digest="cd" * 32, entry_id=450,
    )  # fmt: skip
    words = {"doing": "sawing", "words": "An offcut jumped.", "informed": [{"whom": "nurse", "at": "10:42"}]}
    shop = SimpleNamespace(name="Room W2")
    report = SimpleNamespace(
        incident=SimpleNamespace(pk=1, school=SimpleNamespace(name="Alderbeck School"), shop=shop), version=version,
        text=words, concerned=["Jory Kemp"], accounts=[account], witnesses=["Kit Alder"], other_witnesses=0,
        own=[(account, {"body": "Left thumb, cut", "aid": ["bandaged"]})],
    )  # fmt: skip
    context = {
        "report": report, "versions": [SimpleNamespace(version=version)], "dates": SimpleNamespace(due=DAY, keep=DAY),
        "follow_ups": [], "photos": [], "parts": [], "zone": zone, "by": version.by, "at": at, "paper": LETTER,
        "cells": [("Incident report", "1, version 1"), ("Shop", "Room W2"), ("Printed", "26 November 2026")],
    }  # fmt: skip
    return render_pdf("machines/paper/incident_report.html", context, title="Incident report 1")


SHEETS = {
    "card": Made(
        lambda: once.wall_card(replace(CARD, names=tuple(map(Name, NAMES)))).pdf, "Ennis", fonts.names_font, 1
    ),
    "chart": Made(
        lambda: once.wall_chart(chart(14, 8), TABLOID).pdf, "", fonts.names_font, 1
    ),
    "pocket": Made(lambda: once.pocket_cards(pockets()).pdf, "Hinge", fonts.names_font, 8, 1),
    "substitute": Made(
        lambda: once.substitute_sheet(
            replace(SUBSTITUTE, classes=(replace(CLASS, rows=(SubstituteRow("Band saw 2", NAMES),)),))
        ).pdf,
        "Ennis",
        fonts.names_font,
    ),
    "no-machine-runs": Made(
        lambda: once.substitute_sheet(
            replace(SUBSTITUTE, runs=False, classes=(replace(CLASS, rows=(), name="Ennis", runs=False, granted=()),))
        ).pdf,
        "Eyes",
        fonts.reading_font,
    ),
    "agreement": Made(
        lambda: once.agreement(replace(AGREEMENT, intro="Here it is.", rules=("Help.",) * 9)).pdf,
        "Here",
        fonts.reading_font,
    ),
    "poster": Made(
        lambda: once.rule_posters(replace(POSTERS, posters=(FINGERS,))).pdf, "Keep", fonts.heading_font
    ),
    "slips": Made(lambda: once.slips_pdf(slips()), "", fonts.reading_font_bold, 8),
    "review": Made(lambda: reviewers_pdf(review()), "", fonts.reading_font),
    "tag": Made(lambda: tag(TAG), "", fonts.heading_font, 1),
    "inspection": Made(lambda: inspection_sheets(INSPECTION), "", fonts.reading_font),
    "incident": Made(lambda: incident(), "", fonts.reading_font),
    "tagged-out": Made(
        lambda: once.wall_card(
            replace(CARD, machine="Edger 2", tagged_out=TagOutNote("Cracked", DAY, "Ms Falkenrath"))
        ).pdf,
        "EDGER",
        fonts.heading_font,
        1,
    ),
}  # fmt: skip
DIRECTIONS = "\u202a\u202b\u202c\u200e\u200f"
EVERY = pytest.mark.parametrize("sheet", list(SHEETS))


@cache
def pdf_of(sheet: str) -> bytes:
    return SHEETS[sheet].make()


@pytest.mark.parametrize("sheet", [name for name, sample in SHEETS.items() if sample.word])
def test_the_ink_is_as_high_as_the_stated_distance_needs(sheet: str) -> None:
    """First letters with flat tops: their ink is the capital height [ANSI Z535.2 §9.2.3: distance / 300]."""
    sample, pdf, dpi = SHEETS[sheet], pdf_of(sheet), 300
    words = [word for word in looking.words(pdf) if word.text == sample.word]
    letter = sample.font().advances[ord(sample.word[0])] / sample.font().units_per_em
    picture = looking.raster(pdf, dpi=dpi)
    heights = [looking.ink_height(picture, dpi, word, letter * word.size) for word in words[:3]]
    assert heights
    stated, dot = reads_from(pdf), 25.4 / dpi
    assert stated * 1000 / 300 - dot <= min(heights) < (stated + 0.1) * 1000 / 300 + 2 * dot


@EVERY
def test_is_tagged_titled_and_sound(sheet: str) -> None:
    pdf = pdf_of(sheet)
    structure = looking.structure(pdf)
    assert structure["title"]
    assert (structure["lang"], structure["ua"], structure["marked"], structure["silent_figures"]) == (
        "en",
        "1",
        True,
        0,
    )
    assert structure["tags"]["/H1"] >= 1
    assert looking.qpdf_complaints(pdf) == ""


@EVERY
def test_no_letter_is_where_a_printer_prints_nothing(sheet: str) -> None:
    assert looking.white_edge(pdf_of(sheet)) >= looking.NOT_PRINTED


@EVERY
def test_no_letter_is_paler_than_grey_print_allows(sheet: str) -> None:
    """4.5 to 1 on white [WCAG 2.2, 1.4.3], also for a printer that knows no color."""
    pages = reading.letters(pdf_of(sheet))
    colours = {letter.colour for page in pages for letter in page if letter.text.strip()}
    assert colours
    pale = {colour for colour in colours if 1.05 / (brightness(colour) + 0.05) < 4.5}
    assert not pale


def brightness(colour: reading.Colour) -> float:
    """Relative luminance of an RGB color [WCAG 2.2]."""
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in colour)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


@pytest.mark.parametrize("sheet", [name for name, sample in SHEETS.items() if sample.codes])
def test_squares_are_read_from_a_copy(sheet: str) -> None:
    """A one-bit raster of 150 dots an inch, and the same from a copier that smears."""
    sample = SHEETS[sheet]
    for picture in (
        looking.raster(pdf_of(sheet), sample.code_page, 150, one_bit=True),
        copied(looking.raster(pdf_of(sheet), sample.code_page, 150)),
    ):
        assert len(zxingcpp.read_barcodes(picture)) == sample.codes


def copied(picture: Image.Image, level: int = 128) -> Image.Image:
    """As a tired copier gives it: smeared, then black or white."""
    smeared = picture.convert("L").filter(ImageFilter.GaussianBlur(1.4))
    return smeared.point(lambda dot: 255 if dot > level else 0)


@pytest.mark.parametrize("level", [70, 128, 190], ids=["thin", "as-set", "thick"])
def test_wheel_and_blank_keep_apart_on_a_copy(level: int) -> None:
    matrix = chart(14, 8)
    pdf = once.wall_chart(matrix, TABLOID).pdf
    picture = np.asarray(copied(looking.raster(pdf, dpi=100), level)) < 128
    wheels = looking.wheels(pdf)
    columns = sorted({round(wheel.x0, 1) for wheel in wheels})
    side = wheels[0].x1 - wheels[0].x0
    rows = sorted({round(wheel.top, 1) for wheel in wheels})
    wheel_places = {(round(wheel.x0, 1), round(wheel.top, 1)) for wheel in wheels}
    ink = {(x, y): inked(picture, x, y, side) for x in columns for y in rows}
    full = [share for cell, share in ink.items() if cell in wheel_places]
    blank = [share for cell, share in ink.items() if cell not in wheel_places]
    assert min(full) > 0.3
    assert max(blank, default=0) < 0.05


def inked(picture: Any, x: float, y: float, side: float) -> float:
    scale = 100 / 72
    part = picture[round(y * scale) : round((y + side) * scale), round(x * scale) : round((x + side) * scale)]
    return float(part.mean())


def test_tagged_out_card_is_recognized_on_a_copy() -> None:
    """Thick uprights frame it on both sides; no card with names has any."""
    yes, no = (np.asarray(copied(looking.raster(pdf_of(name), dpi=60))) < 128 for name in ("card", "tagged-out"))
    assert (yes.mean(axis=0) > 0.4).sum() == 0
    uprights = np.flatnonzero(no.mean(axis=0) > 0.4)
    assert uprights.min() < no.shape[1] * 0.1
    assert uprights.max() > no.shape[1] * 0.9


@pytest.mark.parametrize("paper", [LETTER, A4], ids=lambda paper: paper.code)
def test_names_come_out_as_text_in_every_script(paper: Any) -> None:
    noto(fonts.CJK)
    card = replace(CARD, names=tuple(Name(name) for name in MANY.split("|")))
    pdf = once.wall_card(card, paper).pdf
    done = subprocess.run(["pdftotext", "-enc", "UTF-8", "-", "-"], input=pdf, capture_output=True, check=True)
    printed_text = "".join(done.stdout.decode().translate(dict.fromkeys(map(ord, DIRECTIONS))).split())
    # Spaces are the reader's guess from gaps, so they don't count.
    missing = [name for name in MANY.split("|") if name.replace(" ", "") not in printed_text]
    assert not missing


def test_print_for_a_reviewer_says_rules_sources_numbers_keys_and_where_to_sign() -> None:
    printed_text = looking.text(pdf_of("review"))
    bank = a_bank()
    rule, value = bank.live_rules[0], bank.values[0]
    for words in (rule.says, rule.why, rule.source, value.says, value.reads, "Signature", "In line with the blade"):
        assert words in " ".join(printed_text.split())
    assert "✓ Just above the wood" in printed_text
    assert "✓ In the drawer" not in printed_text


def test_the_reason_stands_under_every_rule() -> None:
    printed_text = looking.text(once.rule_posters(replace(POSTERS, posters=(HAIR,))).pdf)
    assert printed_text.index(HAIR.rule) < printed_text.index(HAIR.why)


@pytest.mark.parametrize("code", ["WMWM-WWMW", "VTYV-TVTY"])
def test_a_slip_code_is_one_word_on_one_line_whatever_its_letters(code: str) -> None:
    """Wide letters, and those that are apart: V and T were read as two words."""
    same = replace(slips(), slips=tuple(Slip(name, name, code, URL) for name in NAMES[:8]))
    assert [word.text for word in looking.words(once.slips_pdf(same))].count(code) == 8
