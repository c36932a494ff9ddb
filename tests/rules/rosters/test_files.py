"""The class lists kept in fixtures/rosters/: every one of them, counted and looked at."""

import json
from pathlib import Path

import pytest

from shopsafe.school.rosters.rules import PreviewRow, RosterPreview, preview, read_file
from tests.rules.rosters.test_hostile import workbook

FILES = Path(__file__).resolve().parents[3] / "fixtures" / "rosters"
EXPECTED = {
    name: counts
    for name, counts in json.loads((FILES / "expected.json").read_text()).items()
    if (FILES / name).exists()
}


def previewed(name: str) -> RosterPreview:
    return preview(read_file(name, (FILES / name).read_bytes()), [])


def row(seen: RosterPreview, number: int) -> PreviewRow:
    return next(entry for entry in seen.entries if entry.row == number)


@pytest.mark.parametrize("name", EXPECTED)
def test_counts_are_those_expected(name: str) -> None:
    seen, expected = previewed(name), EXPECTED[name]
    assert len(seen.ready) == expected["students"]
    assert len(seen.already_here) == expected.get("repeats", 0)
    assert len(seen.to_fix) >= expected.get("problems_min", 0)
    assert seen.counts["rows"] == len(seen.ready) + len(seen.already_here) + len(seen.to_fix)


def test_four_files_are_expected() -> None:
    assert len(EXPECTED) == 4


def test_the_messy_file_row_by_row() -> None:
    seen = previewed("period3-messy.csv")
    assert seen.sentence == "33 rows: 30 ready, 0 already here, 2 to fix, 1 twice in this list"
    assert row(seen, 14).reason == "Row 4 is the same student."
    assert [(entry.row, entry.reason) for entry in seen.to_fix] == [
        (27, "There is no name in this row."),
        (35, "The name goes over more than one line."),
    ]
    assert row(seen, 6).read.written == "Hallström, Oisín"
    assert row(seen, 12).read.name == "DAGNY ESPINOZA"
    assert "The name is all capitals, and was kept so." in row(seen, 12).notes


def test_two_students_of_one_name_stay_two() -> None:
    seen = previewed("period3-messy.csv")
    first, second = row(seen, 2), row(seen, 22)
    assert (first.read.name, first.read.id) == ("Uma Márquez", "000417")
    assert (second.read.name, second.read.id) == ("Uma Márquez", "009999")
    assert "Another student has the same name: row 22 (009999). They stay two students." in first.notes
    assert "Another student has the same name: row 2 (000417). They stay two students." in second.notes


def test_a_file_in_cp1252_says_so_and_shows_its_letters() -> None:
    seen = previewed("period5-semicolon-cp1252.csv")
    assert seen.reading["encoding"] == "cp1252"
    assert "Færøvik" in seen.reading["notes"][0]
    assert row(seen, 3).read == row(seen, 3).read.__class__(
        "Emeka Færøvik", "Emeka", "Færøvik", "001201", "Færøvik, Emeka"
    )


def test_pasted_columns_without_a_header_keep_whole_names_whole() -> None:
    seen = previewed("period6-pasted.txt")
    assert seen.reading["header_row"] is None
    assert (row(seen, 1).read.name, row(seen, 1).read.given, row(seen, 1).read.family) == ("Wren Brzęczyk", "", "")
    assert row(seen, 1).read.id == "003000"


def test_numbers_of_a_workbook_keep_the_width_of_their_format() -> None:
    seen = previewed("period1-excel.xlsx")
    assert seen.reading["header_row"] == 3
    assert [entry.read.id for entry in seen.ready] == [f"{n:06d}" for n in range(52, 78)]
    assert any("Quillbrook" in note for note in seen.reading["notes"])


def test_a_row_of_a_workbook_without_a_name_is_to_fix() -> None:
    book = workbook([["Name", "ID"], ["Uma Lund", 417], [None, 418], [None, None], ["", "x"], ["Ro Berg", 419]])
    seen = preview(read_file("list.xlsx", book), [])
    no_name = "There is no name in this row."
    assert [(entry.row, entry.reason) for entry in seen.to_fix] == [(3, no_name), (5, no_name)]
    assert seen.sentence == "4 rows: 2 ready, 0 already here, 2 to fix"


@pytest.mark.parametrize("name", EXPECTED)
def test_the_preview_is_plain_values(name: str) -> None:
    report = json.loads(json.dumps(previewed(name).as_dict()))
    assert {"ready", "already_here", "to_fix", "counts", "reading"} <= report.keys()
    assert {"row", "read", "notes"} <= report["ready"][0].keys()
