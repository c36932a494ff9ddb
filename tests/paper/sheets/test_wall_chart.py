"""A finished wall chart: names and numbers as large as it says, only the full wheel, sheets that say which they are."""

import itertools
import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from django.conf import settings

from shopsafe.paper import fonts
from shopsafe.paper.prints import wall_chart_pdf
from shopsafe.paper.rules import ruling
from shopsafe.paper.rules.card_measures import NAMES_FROM
from shopsafe.paper.rules.names import Name
from shopsafe.paper.rules.sheets import A3, A4, LETTER, TABLOID, ChartRow, Paper, TagOutNote, WallChart
from tests.paper import looking, once
from tests.paper.people import people
from tests.paper.sheets.test_wall_card import HOSTILE, clashes, pages, reads_from


def made(chart: WallChart, paper: Paper, *, metres: float = NAMES_FROM) -> bytes:
    return once.wall_chart(chart, paper, metres=metres).pdf


MACHINES = [
    *("Band saw 1", "Band saw 2", "Drill press 1", "Drill press 2", "Scroll saw 1", "Belt sander", "Spindle sander"),
    *(
        "Table saw",
        "Jointer",
        "Planer",
        "Lathe 1",
        "Lathe 2",
        "Bench grinder",
        "Disc sander",
        "Router table",
        "Miter saw",
    ),
]


def chart(students: int, machines: int, *, long: bool = False) -> WallChart:
    """Every student is cleared for the machines whose number their place divides by two or three, say."""
    rows = [
        ChartRow(name, frozenset(m for m in range(machines) if (index + m) % 3 == 0))
        for index, name in enumerate(people(students, long=long))
    ]
    return WallChart(
        scope="Period 3, Grade 7 Wood",
        machines=tuple(MACHINES[:machines]),
        rows=tuple(rows),
        printed=date(2026, 10, 14),
        valid_until=date(2026, 12, 18),
        code="7K3D-QV",
        url="HTTP://127.0.0.1:8000/C/7K3D-QV",
    )


@pytest.mark.parametrize("paper", [TABLOID, A3], ids=lambda paper: paper.code)
@pytest.mark.parametrize("machines", [1, 8, 16])
@pytest.mark.parametrize("students", [1, 14, 36])
def test_is_one_sheet_or_says_which_of_how_many(paper: Paper, students: int, machines: int) -> None:
    pdf = made(chart(students, machines), paper)
    sheets, chart_text = pages(pdf), looking.text(pdf)
    expected = [(str(number), str(sheets)) for number in range(1, sheets + 1)] if sheets > 1 else []
    assert re.findall(r"Sheet (\d) of (\d)", chart_text) == expected
    assert chart_text.count("cleared") == sum(len(row.cleared) for row in chart(students, machines).rows)
    assert reads_from(pdf) >= 3
    for page in range(sheets):
        page_words = looking.words(pdf, page)
        wide, high = looking.page_sizes(pdf)[page]
        assert min(word.x0 for word in page_words) >= 13.5
        assert max(word.x1 for word in page_words) <= wide - 13.5
        assert max(word.bottom for word in page_words) <= high - 13
        assert clashes(page_words) == []


def test_thirty_students_read_from_three_metres_on_two_tabloid_sheets() -> None:
    pdf = made(chart(30, 8), TABLOID)
    assert pages(pdf) == 2
    assert reads_from(pdf) >= 3


def test_names_too_long_for_the_distance_get_the_true_distance() -> None:
    whole = Name("Wolfeschlegelsteinhausenbergerdorff Ramachandrapuram")
    rows = (*chart(35, 16).rows, ChartRow(whole, frozenset({1})))
    pdf = made(WallChart(**{**chart(1, 16).__dict__, "rows": rows}), TABLOID)
    assert reads_from(pdf) < 3
    assert pages(pdf) <= 2
    assert whole.full in looking.text(pdf)


def test_a_shorter_distance_takes_fewer_sheets() -> None:
    near, far = (pages(made(chart(36, 16), TABLOID, metres=metres)) for metres in (1.5, 3))
    assert near < far


def test_names_and_numbers_are_inked_as_high_as_the_distance_needs() -> None:
    base = chart(14, 8)
    rows = tuple(ChartRow(Name(f"Ennis {index:02}"), row.cleared) for index, row in enumerate(base.rows))
    pdf = made(WallChart(**{**base.__dict__, "rows": rows}), TABLOID)
    words = looking.words(pdf)
    picture = looking.raster(pdf, dpi=300)
    needed = reads_from(pdf) * 1000 / 300
    largest = max(word.size for word in words)
    for word, face in [(w, fonts.names_font()) for w in words if w.text == "Ennis"] + [
        (w, fonts.heading_font()) for w in words if w.text in "12345678" and w.size == largest
    ]:
        letter = face.advances[ord(word.text[0])] / 1000
        assert looking.ink_height(picture, 300, word, letter * word.size) >= needed - 25.4 / 300


def test_only_the_full_wheel_prints() -> None:
    """Every cell of the picture is a wheel or white, as the data says."""
    matrix = chart(14, 8)
    pdf = made(matrix, TABLOID)
    wheels = looking.wheels(pdf)
    assert len(wheels) == sum(len(row.cleared) for row in matrix.rows)
    picture = np.asarray(looking.raster(pdf, dpi=100)) < 128
    wheel = wheels[0]
    box = picture[
        round(wheel.top * 100 / 72) : round(wheel.bottom * 100 / 72),
        round(wheel.x0 * 100 / 72) : round(wheel.x1 * 100 / 72),
    ]
    # A disc of radius 11 in a square of 24 with a hole of 2.4 covers .628 of it.
    assert box.mean() == pytest.approx(0.628, abs=0.06)
    middle = box[
        box.shape[0] * 45 // 100 : box.shape[0] * 55 // 100, box.shape[1] * 45 // 100 : box.shape[1] * 55 // 100
    ]
    assert middle.mean() < 0.5, "the wheel has no hole"


def test_the_matrix_is_a_table_with_headings_and_a_plain_corner() -> None:
    pdf = made(chart(14, 8), TABLOID)
    structure = looking.structure(pdf)
    assert structure["tags"]["/Table"] == 1
    assert structure["tags"]["/TH"] == 14 + 8
    assert structure["tags"]["/TD"] == 14 * 8 + 1
    assert structure["tags"]["/H1"] == 1
    assert structure["silent_figures"] == 0
    assert structure["title"] == "Wall chart: Period 3, Grade 7 Wood"
    assert structure["lang"] == "en"
    assert structure["ua"] == "1"
    assert looking.qpdf_complaints(pdf) == ""


def test_the_lines_have_the_colours_of_every_other_sheet() -> None:
    tokens = (Path(settings.BASE_DIR) / "static/css/tokens.css").read_text()
    for name, colour in (("ink", ruling.INK), ("line", ruling.LINE), ("faint", ruling.FAINT)):
        assert f"--{name}: light-dark({colour}," in tokens


def test_a_line_stands_between_all_rows_and_every_fifth_is_darker() -> None:
    """Seen on the picture, right of the names."""
    pdf = made(chart(14, 8), TABLOID)
    page_words = looking.words(pdf)
    words = [word for word in page_words if word.text in {name.given for name in people(14)}]
    initials = [word for word in page_words if word.text in {f"{name.family[0]}." for name in people(14)}]
    middles = sorted((word.top + word.bottom) / 2 for word in words)
    grey, dpi = np.asarray(looking.raster(pdf, dpi=200)), 200
    beside = round((max(word.x1 for word in initials) + 0.5) * dpi / 25.4)
    strip = grey[:, beside : beside + 3].mean(axis=1)
    marks = []
    for upper, lower in itertools.pairwise(middles):
        between = strip[round(upper * dpi / 25.4) : round(lower * dpi / 25.4)]
        marks.append(between.min())
    assert all(mark < 240 for mark in marks)
    darker = [number for number, mark in enumerate(marks, start=1) if mark < 180]
    assert darker == [5, 10]


def test_says_what_wheel_and_blank_mean_and_bears_no_digest() -> None:
    chart_text = looking.text(made(chart(14, 8), TABLOID))
    assert "Blank means no. Tagged out: no one." in chart_text
    assert "heckpoint" not in chart_text


@pytest.mark.parametrize("paper", [TABLOID, LETTER, A4], ids=lambda paper: paper.code)
def test_machine_names_stand_below_their_numbers(paper: Paper) -> None:
    page_words = looking.words(made(chart(8, 8), paper))
    size = max(word.size for word in page_words if word.text.isdecimal())
    numbers = [word for word in page_words if word.text.isdecimal() and word.size == size]
    assert len(numbers) == 8
    firsts = [machine.split()[0] for machine in MACHINES[:8]]
    for number, first in zip(numbers, firsts, strict=True):
        middle = (number.x0 + number.x1) / 2
        below = [word for word in page_words if word.x0 <= middle <= word.x1 and word.top > number.top + size / 2]
        assert first in {word.text for word in below}


def test_names_too_long_for_their_columns_stand_in_a_key() -> None:
    base = chart(14, 8)
    names = tuple(f"Extraordinarily-long-machine-{letter} saw" for letter in "abcdefgh")
    pdf = made(replace(base, machines=names), TABLOID)
    lowest = max(word.bottom for word in looking.words(pdf) if word.text == "cleared" or word.text.endswith("."))
    for number, name in enumerate(names, start=1):
        assert f"{number} {name}" in looking.text(pdf)
    key = [word for word in looking.words(pdf) if word.text.startswith("Extraordinarily")]
    assert len(key) == 8
    assert min(word.top for word in key) < lowest


def dated(students: int = 6) -> WallChart:
    """Two machines; the first student's wheel on the second ends early; the third machine is out of use."""
    base = chart(students, 3)
    rows = [replace(row, cleared=frozenset({0, 1})) for row in base.rows]
    rows[0] = replace(rows[0], last_days=((1, date(2026, 12, 4)),))
    out = ((2, TagOutNote("The guard is cracked.", date(2026, 11, 27), "Ms Falkenrath")),)
    return replace(base, rows=tuple(rows), tagged_out=out)


@pytest.mark.parametrize("paper", [TABLOID, A3, LETTER, A4], ids=lambda paper: paper.code)
def test_wheel_that_ends_early_carries_its_last_day_in_its_cell(paper: Paper) -> None:
    pdf = made(dated(), paper)
    wheels = looking.wheels(pdf)
    assert len(wheels) == 12
    [day] = [word for word in looking.words(pdf) if word.text == "Dec"]
    point, middle = 25.4 / 72, (day.x0 + day.x1) / 2
    above = [wheel for wheel in wheels if wheel.x0 * point - 2 < middle < wheel.x1 * point + 2]
    nearest = max((wheel for wheel in above if wheel.top * point < day.top), key=lambda wheel: wheel.top)
    assert len(above) == 6
    assert nearest.top == min(wheel.top for wheel in wheels)
    assert nearest.bottom * point - 1 < day.bottom < nearest.bottom * point + 8
    assert "A date under a wheel is its last day." in looking.text(pdf)


@pytest.mark.parametrize("paper", [TABLOID, A3, LETTER, A4], ids=lambda paper: paper.code)
def test_column_of_a_tagged_out_machine_says_since_when_and_has_crosses_for_wheels(paper: Paper) -> None:
    pdf = made(dated(), paper)
    chart_text = " ".join(looking.text(pdf).split())
    assert "tagged out since 27 November 2026. The guard is cracked. No one may use it." in chart_text
    plate = next(word for word in looking.words(pdf) if word.text == "out" and word.top < 90)
    columns = sorted({round(wheel.x0) for wheel in looking.wheels(pdf)})
    assert plate.x0 > max(columns) * 25.4 / 72
    dpi = 100
    picture = np.asarray(looking.raster(pdf, dpi=dpi)) < 128
    middle = (plate.x0 + plate.x1) / 2
    strip = slice(round((middle - 3) / 25.4 * dpi), round((middle + 3) / 25.4 * dpi))
    rows = sorted({wheel.top / 72 * dpi for wheel in looking.wheels(pdf)})
    assert all(picture[round(top) : round(top) + 40, strip].any() for top in rows)
    head = picture[round(plate.top / 25.4 * dpi) : round(plate.bottom / 25.4 * dpi), strip]
    assert head.mean() > 0.4, "the plate is black"


@pytest.mark.parametrize(("paper", "edge"), [(LETTER, 9.5), (A4, 9.5)], ids=["letter", "a4"])
@pytest.mark.parametrize(("students", "machines"), [(14, 8), (36, 16)])
def test_small_paper_keeps_its_margins_and_says_its_distance(
    paper: Paper, edge: float, students: int, machines: int
) -> None:
    pdf = made(chart(students, machines), paper)
    assert reads_from(pdf) > 1
    for page in range(pages(pdf)):
        page_words = looking.words(pdf, page)
        wide, high = looking.page_sizes(pdf)[page]
        assert {round(wide), round(high)} == {round(paper.width), round(paper.height)}
        assert min(word.x0 for word in page_words) >= edge
        assert max(word.x1 for word in page_words) <= wide - edge
        assert max(word.bottom for word in page_words) <= high - edge + 0.5
        assert clashes(page_words) == []


@pytest.mark.parametrize("paper", [TABLOID, A3], ids=lambda paper: paper.code)
def test_the_code_scans_from_a_one_bit_raster(paper: Paper) -> None:
    assert looking.codes(made(chart(14, 8), paper)) == [chart(1, 1).url]


def test_hostile_names_stay_text() -> None:
    base = chart(1, 1)
    rows = (ChartRow(Name(HOSTILE), frozenset()),)
    pdf = made(WallChart(**{**base.__dict__, "rows": rows, "machines": (HOSTILE,)}), TABLOID)
    assert "<script>alert(1)</script>" in looking.text(pdf)
    assert b"/EmbeddedFile" not in pdf


def test_the_same_chart_gives_the_same_bytes() -> None:
    assert wall_chart_pdf(chart(14, 8), TABLOID) == made(chart(14, 8), TABLOID)


def test_a_column_bears_the_number_that_is_painted_on_its_machine() -> None:
    base = chart(3, 2)
    pdf = made(replace(base, machines=("Scroll saw 4", "Spindle sander 10"), numbers=(4, 10)), TABLOID)
    numbers = [word for word in looking.words(pdf) if word.text in ("1", "2", "4", "10")]
    assert [word.text for word in numbers][:2] == ["4", "10"]
    assert not {"1", "2"} & {word.text for word in numbers}
    assert "Spindle sander 10" not in looking.text(pdf)
    [name] = [word for word in looking.words(pdf) if word.text == "Spindle"]
    assert abs(name.x0 + name.x1 - numbers[1].x0 - numbers[1].x1) < 20
    assert name.top > numbers[1].top


@pytest.mark.parametrize("machines", [8, 16])
def test_the_numbers_over_the_columns_stand_apart(machines: int) -> None:
    numbers = [word for word in looking.words(made(chart(14, machines), TABLOID)) if word.text.isdecimal()]
    heads = [word for word in numbers if word.size == max(word.size for word in numbers)]
    assert [word.text for word in heads] == [str(number) for number in range(1, machines + 1)]
    gaps = [after.x0 - before.x1 for before, after in itertools.pairwise(heads)]
    assert min(gaps) >= 0.2 * heads[0].size
