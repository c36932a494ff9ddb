"""Sign-in slips: every student's own name and code, a square that scans, nothing cut off."""

from datetime import date

import pytest

from shopsafe.paper.rules.sheets import A4, LETTER, Paper, Slip, Slips
from tests.paper import looking, once
from tests.paper.people import people
from tests.paper.sheets.test_wall_card import HOSTILE, clashes, pages

LONG = "Wolfeschlegelsteinhausenbergerdorff María de los Ángeles Fernández-Ramachandrapuram Ó Súilleabháin the Third"


def slips(count: int) -> Slips:
    slip_list = [
        Slip(
            person.full,
            f"{person.full}{' 2' if index % 2 else ''}",
            f"9KD-{index:03}",
            f"HTTP://127.0.0.1:8000/SIGN-IN/9KD{index:03}/",
        )
        for index, person in enumerate(people(count))
    ]
    return Slips("Period 3, Grade 7 Wood", "shop.alderbeck.example", tuple(slip_list), date(2026, 10, 14))


@pytest.mark.parametrize("paper", [LETTER, A4], ids=lambda paper: paper.code)
@pytest.mark.parametrize(("count", "sheets"), [(1, 1), (8, 1), (30, 4)])
def test_eight_stand_on_a_sheet(paper: Paper, count: int, sheets: int) -> None:
    pdf = once.slips_pdf(slips(count), paper)
    sheet_text = looking.text(pdf)
    assert pages(pdf) == sheets
    assert f"Sheet {sheets} of {sheets}" in sheet_text
    assert sheet_text.count("Keep this to yourself.") == count
    for index, person in enumerate(people(count)):
        assert sheet_text.count(person.full) == 1 + (index % 2), "the name, and the sign-in name where it is another"
        assert sheet_text.count(f"9KD-{index:03}") == 1


@pytest.mark.parametrize("paper", [LETTER, A4], ids=lambda paper: paper.code)
def test_each_square_scans_and_stands_beside_its_own_name(paper: Paper) -> None:
    class_slips = slips(8)
    pdf = once.slips_pdf(class_slips, paper)
    corners = {code.text: code.position.top_left for code in looking.squares(pdf)}
    assert set(corners) == {slip.url for slip in class_slips.slips}
    per_mm = 150 / 25.4
    words = looking.words(pdf)
    for slip in class_slips.slips:
        code = next(word for word in words if word.text == slip.slip_code)
        corner = corners[slip.url]
        assert 0 < corner.x / per_mm - code.x1 < 60
        assert abs(corner.y / per_mm - code.top) < 30


@pytest.mark.parametrize("sign_in_name", [LONG, "Wolfeschlegelsteinhausenbergerdorff María de los Ángeles 2"])
def test_the_longest_name_is_whole_and_inside_its_slip(sign_in_name: str) -> None:
    slip = Slip(LONG, sign_in_name, "9KD-4TX", "HTTPS://SHOP.ALDERBECK.EXAMPLE/SIGN-IN/9KD4TX/")
    pdf = once.slips_pdf(Slips("Period 3", "shop.alderbeck.example", (slip,) * 8, date(2026, 10, 14)), LETTER)
    assert pages(pdf) == 1
    words = looking.words(pdf)
    assert clashes(words) == []
    keeps = [word.bottom for word in words if word.text == "Keep"]
    assert len(keeps) == 8
    for bottom in keeps:
        row = (bottom - 10) // (259.4 / 4)
        assert bottom - 10 - row * 259.4 / 4 > 40, "the last line stands in its own slip"


def test_hostile_names_stay_text() -> None:
    slip = Slip(HOSTILE, HOSTILE, HOSTILE, "HTTP://127.0.0.1:8000/")
    pdf = once.slips_pdf(Slips(HOSTILE, HOSTILE, (slip,), date(2026, 10, 14)), LETTER)
    assert b"/EmbeddedFile" not in pdf
    assert "alert(1)" in looking.text(pdf)


def test_is_tagged_with_title_and_language() -> None:
    pdf = once.slips_pdf(slips(8), LETTER)
    structure = looking.structure(pdf)
    assert structure["title"] == "Sign-in slips: Period 3, Grade 7 Wood"
    assert structure["lang"] == "en"
    assert structure["ua"] == "1"
    assert structure["tags"]["/H2"] == 8
    assert structure["silent_figures"] == 0
    assert looking.qpdf_complaints(pdf) == ""
