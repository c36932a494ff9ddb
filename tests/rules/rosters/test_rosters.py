"""Class lists: what is read, what is asked, how people are distinguished."""

from typing import Any

import pytest

from shopsafe.school.rosters.rules import (
    ExistingPerson,
    NotARoster,
    RosterPreview,
    RowCorrection,
    preview,
    read_file,
    read_pasted,
)

HEADED = "Name,ID\n"


def of(text: str, known: list[ExistingPerson] | None = None, **more: Any) -> RosterPreview:
    return preview(read_pasted(text), known or [], **more)


def ids(seen: RosterPreview) -> dict[str, list[str]]:
    return {where: [e.read.id for e in seen.listed(where)] for where in ("ready", "already_here", "to_fix")}


# Names


@pytest.mark.parametrize(
    ("written", "name", "given", "family"),
    [
        ("Lund, Uma", "Uma Lund", "Uma", "Lund"),
        ("  Lund ,   Uma  Bea ", "Uma Bea Lund", "Uma Bea", "Lund"),
        ("Uma Lund", "Uma Lund", "", ""),
        ("van der Berg, Uma", "Uma van der Berg", "Uma", "van der Berg"),
        ("O’Hara-Lund, Zoë", "Zoë O’Hara-Lund", "Zoë", "O’Hara-Lund"),
        ("李, 小龙", "小龙 李", "小龙", "李"),
        ("Madonna", "Madonna", "", ""),
        ("Lund, Ro\u0308sa", "Rösa Lund", "Rösa", "Lund"),
        ("Lund\u00a0, \u200bUma\ufeff", "Uma Lund", "Uma", "Lund"),
    ],
)
def test_names_are_split_at_a_comma_only(written: str, name: str, given: str, family: str) -> None:
    (entry,) = of(f'{HEADED}"{written}",000417').ready
    assert (entry.read.name, entry.read.given, entry.read.family) == (name, given, family)


@pytest.mark.parametrize(
    "written",
    ["Smith, Jr., John", "Smith,", ", John", "Total: 26", "Room 4", "=1+1", "@home", "12", "-", "a\ufffdb", "x" * 81],
)
def test_invalid_name_needs_correction(written: str) -> None:
    seen = of(f'{HEADED}"Lund, Uma",000417\n"{written}",000418')
    assert ids(seen) == {"ready": ["000417"], "already_here": [], "to_fix": ["000418"]}


def test_columns_of_first_and_last_names_are_used_as_they_are() -> None:
    seen = of("Last,First,ID\nLund,Uma,1001\nBerg,,1002\n,Ro,1003")
    assert [entry.read.name for entry in seen.ready] == ["Uma Lund", "Berg", "Ro"]
    assert seen.ready[1].notes == ("No first name was found. The name is kept as it is written.",)
    assert seen.ready[2].notes == ("No last name was found. The name is kept as it is written.",)


@pytest.mark.parametrize(
    ("headings", "name"),
    [
        ("Prénom;Nom;Numéro", "Uma Lund"),
        ("Nom;Numéro", "Uma"),
        ("Vorname;Name;Schüler-ID", "Uma Lund"),
        ("Nombre;Apellidos;Matrícula", "Uma Lund"),
        ("Imię;Nazwisko;Nr", "Uma Lund"),
    ],
)
def test_headings_of_other_languages(headings: str, name: str) -> None:
    cells = "Uma;Lund;00417" if headings.count(";") == 2 else "Uma;00417"
    (entry,) = of(f"{headings}\n{cells}").ready
    assert (entry.read.name, entry.read.id) == (name, "00417")


# Numbers


@pytest.mark.parametrize(
    ("cell", "read"),
    [
        ("000417", "000417"),
        (" 000417 ", "000417"),
        ("'000417", "000417"),
        ('"=""000417"""', "000417"),
        ("A-17.b", "A-17.b"),
    ],
)
def test_numbers_are_kept_as_text(cell: str, read: str) -> None:
    assert [entry.read.id for entry in of(f'{HEADED}"Lund, Uma",{cell}').ready] == [read]


@pytest.mark.parametrize("cell", ["4.17E+02", "1,2E+10", "000 417", "none", "-", "#REF!", "0" * 33])
def test_invalid_number_needs_correction(cell: str) -> None:
    seen = of(f'{HEADED}"Lund, Uma","{cell}"\n"Berg, Ro",000418')
    assert [entry.row for entry in seen.to_fix] == [2]


def test_a_row_without_a_number_is_to_fix_where_others_have_one() -> None:
    seen = of(f'{HEADED}"Lund, Uma",\n"Berg, Ro",000418')
    assert [entry.reason for entry in seen.to_fix] == ["There is no student number in this row."]
    mended = of(f'{HEADED}"Lund, Uma",\n"Berg, Ro",000418', mends={2: RowCorrection(accept=True)})
    assert len(mended.ready) == 2


def test_numbers_of_unlike_length_are_pointed_out() -> None:
    seen = of(f'{HEADED}"Lund, Uma",417\n"Berg, Ro",001418')
    assert any(note.startswith("Student numbers have 3 to 6 digits.") for note in seen.reading["notes"])


def test_numbers_that_differ_in_leading_zeros_are_to_fix_both() -> None:
    seen = of(f'{HEADED}"Lund, Uma",417\n"Berg, Ro",000417')
    assert [entry.row for entry in seen.to_fix] == [2, 3]


# Rows against rows


def test_one_number_for_two_names_is_to_fix_in_both_rows() -> None:
    seen = of(f'{HEADED}"Lund, Uma",000417\n"Berg, Ro",000417')
    assert [entry.reason for entry in seen.to_fix] == [
        "Row 3 gives the number 000417 to Ro Berg.",
        "Row 2 gives the number 000417 to Uma Lund.",
    ]


def test_skipping_the_first_row_of_two_lets_the_second_in() -> None:
    text = f'{HEADED}"Lund, Uma",000417\n"LUND, UMA",000417'
    assert [entry.row for entry in of(text).already_here] == [3]
    seen = of(text, mends={2: RowCorrection(skip=True)})
    assert ([entry.row for entry in seen.ready], seen.counts["skipped"]) == ([3], 1)
    assert seen.sentence == "2 rows: 1 ready, 0 already here, 0 to fix, 1 skipped"


def test_two_rows_of_one_name_without_numbers_are_not_merged() -> None:
    seen = of("Name\nUma Lund\nUma Lund")
    assert ([e.row for e in seen.ready], [e.row for e in seen.to_fix]) == ([2], [3])
    assert [e.row for e in of("Name\nUma Lund\nUma Lund", mends={3: RowCorrection(accept=True)}).ready] == [2, 3]


def test_a_repeated_header_is_to_fix() -> None:
    seen = of(f'{HEADED}"Lund, Uma",000417\nName,ID\n"Berg, Ro",000418')
    assert [(entry.row, entry.reason) for entry in seen.to_fix] == [(3, "This row repeats the header.")]


def test_a_comma_outside_quotes_is_to_fix() -> None:
    seen = of(
        f"{HEADED}Lund, Uma,000417\n" + "\n".join(f'"Berg, Ro{c}",00{n}' for n, c in enumerate("abcdefghijkl", 500))
    )
    assert [entry.row for entry in seen.to_fix] == [2]
    assert "quotation marks" in seen.to_fix[0].reason


# Rows against people the school knows


def test_a_student_of_this_class_is_already_here() -> None:
    seen = of(f'{HEADED}"Lund, Uma",000417', [ExistingPerson(7, "Uma Lund", "000417", here=True)])
    assert [(entry.reason, entry.person) for entry in seen.already_here] == [("Already in this class.", 7)]


def test_a_student_of_another_class_is_ready_and_joins() -> None:
    seen = of(f'{HEADED}"Lund, Uma",000417', [ExistingPerson(7, "Uma Lund", "000417")])
    assert [(entry.person, entry.notes) for entry in seen.ready] == [
        (7, ("Already at this school as Uma Lund, and joins this class.",))
    ]


def test_a_number_of_someone_else_is_to_fix_and_says_whose() -> None:
    seen = of(f'{HEADED}"Lund, Uma",000417', [ExistingPerson(7, "Ro Berg", "000417")])
    assert [entry.reason for entry in seen.to_fix] == ["The number 000417 belongs to Ro Berg."]


def test_a_number_of_a_teacher_is_to_fix() -> None:
    seen = of(f'{HEADED}"Lund, Uma",000417', [ExistingPerson(7, "Uma Lund", "000417", student=False)])
    assert "not a student" in seen.to_fix[0].reason


def test_a_known_number_with_other_zeros_is_to_fix() -> None:
    seen = of(f'{HEADED}"Lund, Uma",417', [ExistingPerson(7, "Uma Lund", "000417", here=True)])
    assert "000417" in seen.to_fix[0].reason


@pytest.mark.parametrize("local_id", ["", "000417"])
def test_a_name_already_here_without_a_number_to_tell_is_to_fix(local_id: str) -> None:
    known = [ExistingPerson(7, "Uma Lund", local_id, here=True)]
    seen = of("Name\nUma Lund\nRo Berg", known)
    assert [entry.row for entry in seen.to_fix] == [2]
    assert of("Name\nUma Lund\nRo Berg", known, mends={2: RowCorrection(accept=True)}).counts["ready"] == 2


def test_a_numbered_row_does_not_take_over_someone_without_a_number() -> None:
    seen = of(f'{HEADED}"Lund, Uma",000417', [ExistingPerson(7, "Uma Lund", here=True)])
    assert "Is this the same student?" in seen.to_fix[0].reason


def test_a_namesake_with_another_number_stays_another_student() -> None:
    seen = of(f'{HEADED}"Lund, Uma",000417', [ExistingPerson(7, "Uma Lund", "000999", here=True)])
    assert seen.ready[0].person is None
    assert "Uma Lund (000999) in this class" in seen.ready[0].notes[0]


# Corrections


def test_a_row_is_fixed_in_place() -> None:
    text = f'{HEADED}"Lund, Uma",000417\n,000418\n"Total: 2",'
    seen = of(text, mends={3: RowCorrection(name="Berg, Ro"), 4: RowCorrection(skip=True)})
    assert seen.sentence == "3 rows: 2 ready, 0 already here, 0 to fix, 1 skipped"
    assert (seen.ready[1].read.given, seen.ready[1].read.id) == ("Ro", "000418")
    assert "The name was corrected by hand." in seen.ready[1].notes


def test_a_fix_may_insist_on_an_odd_name_but_not_on_none() -> None:
    text = f'{HEADED}"Lund 3, Uma",000417'
    assert of(text, mends={2: RowCorrection(name="Lund 3, Uma")}).counts["ready"] == 1
    assert of(text, mends={2: RowCorrection(name="  ")}).counts["to_fix"] == 1
    assert of(text, mends={2: RowCorrection(name="x" * 200)}).counts["to_fix"] == 1


def test_an_odd_row_may_be_taken_as_it_stands_but_not_an_empty_one() -> None:
    text = f'{HEADED}"Lund 3, Uma",000417\n"Berg, Ro",first\n,000419\n'
    assert of(text).counts["to_fix"] == 3
    seen = of(text, mends={n: RowCorrection(accept=True) for n in (2, 3, 4)})
    assert ([entry.row for entry in seen.ready], [entry.row for entry in seen.to_fix]) == ([2, 3], [4])


def test_taking_a_row_as_it_stands_never_takes_someone_s_number() -> None:
    known = [ExistingPerson(7, "Ro Berg", "000417")]
    assert of(f'{HEADED}"Lund, Uma",000417', known, mends={2: RowCorrection(accept=True)}).counts["to_fix"] == 1


def test_a_fixed_number_is_weighed_like_any_other() -> None:
    text = f'{HEADED}"Lund, Uma",000417\n"Berg, Ro",'
    assert of(text, mends={3: RowCorrection(local_id="000417")}).counts["to_fix"] == 2
    assert of(text, mends={3: RowCorrection(local_id="000418")}).counts["ready"] == 2


# Columns


def test_last_first_without_a_header_or_quotes() -> None:
    seen = of("Lund, Uma\nBerg, Ro\nFærøvik, Ilse")
    assert [entry.read.name for entry in seen.ready] == ["Uma Lund", "Ro Berg", "Ilse Færøvik"]
    assert "The names were read as “Last, First”." in seen.reading["notes"]


def test_two_columns_of_names_without_a_header_are_asked_about() -> None:
    seen = of("Uma\tLund\t0417\nRo\tBerg\t0418\nIlse\tMoor\t0419")
    assert seen.reading["question"] == "Columns 1 and 2 hold names. Which is the first name, which the last name?"
    assert [entry.read.written for entry in seen.to_fix] == [
        "Uma | Lund | 0417",
        "Ro | Berg | 0418",
        "Ilse | Moor | 0419",
    ]
    answered = of("Uma\tLund\t0417\nRo\tBerg\t0418\nIlse\tMoor\t0419", columns=["given", "family", "id"])
    assert (answered.ready[0].read.name, answered.ready[0].read.id) == ("Uma Lund", "0417")


def test_two_columns_of_one_meaning_are_asked_about() -> None:
    seen = of("Name,ID,Student ID\nUma Lund,71,0417\nRo Berg,92,0418")
    assert seen.reading["question"] == "Columns 2 and 3 could each be the student number. Which one is it?"


def test_row_counter_is_not_read_as_a_student_number() -> None:
    seen = of("No.,Name\n1,Uma Lund\n2,Ro Berg\n3,Ilse Moor")
    assert [entry.read.id for entry in seen.ready] == ["", "", ""]
    assert "Column 1 counts the rows and was not read." in seen.reading["notes"]
    assert [e.read.id for e in of("No.,Name\n417,Uma Lund\n418,Ro Berg").ready] == ["417", "418"]


@pytest.mark.parametrize("counted", [["1", "2", "3"], ["01", "02", "03"], ["1.", "2.", "3."], ["0", "1", "2"]])
def test_column_that_counts_the_rows_is_not_read_as_student_numbers(counted: list[str]) -> None:
    rows = zip(counted, ["Uma Lund", "Ro Berg", "Ilse Moor"], strict=True)
    seen = of("ID,Name\n" + "\n".join(f"{count},{name}" for count, name in rows))
    assert [entry.read.id for entry in seen.ready] == ["", "", ""]
    assert "Column 1 counts the rows, whatever its heading says, and was not read." in seen.reading["notes"]


@pytest.mark.parametrize(
    "heading",
    [
        "Stu #",
        "Stu No.",
        "Student #",
        "Perm ID",
        "Perm #",
        "Permanent ID",
        "Local ID",
        "Local ID #",
        "District ID",
        "ID №",
    ],
)
def test_headings_of_student_numbers_are_known(heading: str) -> None:
    seen = of(f"Name,{heading}\nUma Lund,0417\nRo Berg,0522")
    assert [entry.read.id for entry in seen.ready] == ["0417", "0522"]


def test_every_column_is_accounted_for() -> None:
    notes = of("Name,ID,Class,Grade,Notes\nUma Lund,0417,P3,7,new\nRo Berg,0418,P4,7,").reading["notes"]
    joined_notes = " ".join(notes)
    for heading in ("Name", "ID", "Class", "Grade", "Notes"):
        assert f"“{heading}”" in joined_notes
    assert "P3 (1), P4 (1). Is this one class?" in joined_notes


def test_title_in_one_cell_is_not_read_as_a_header() -> None:
    seen = of("Students\nUma Lund\t0417\nRo Berg\t0418")
    assert seen.reading["header_row"] is None
    assert ([entry.row for entry in seen.to_fix], [entry.row for entry in seen.ready]) == ([1], [2, 3])


def test_blank_rows_are_counted_and_keep_the_numbers_of_the_rest() -> None:
    seen = of('Name,ID\n\n"Lund, Uma",0417\n , \n\n"Berg, Ro",0418\n\n')
    assert [entry.row for entry in seen.ready] == [3, 6]
    assert seen.counts["blank"] == 3


@pytest.mark.parametrize(
    ("text", "blank"),
    [
        ("Name,ID\nUma Lund,0417\n,0418\n,\nRo Berg,0419", 1),
        ("Name;ID;Note\nUma Lund;0417;\n;;late\n;;\nRo Berg;0419;", 1),
        ("First,Last,ID\nUma,Lund,0417\n,,0418\n\n , ,\nRo,Berg,0419", 2),
        ("Name\tID\nUma Lund\t0417\n \u200b\u00a0\t0418\n\t\nRo Berg\t0419", 1),
        ("ID,Period,Name\n0417,3,Uma Lund\n,3,\n,,\n0419,3,Ro Berg", 1),
        ("Eli Moor\t0420\nUma Lund\t0417\n\t0418\n\t\nRo Berg\t0419", 1),
    ],
)
def test_row_without_a_name_needs_correction_and_blank_row_is_skipped(text: str, blank: int) -> None:
    seen = of(text)
    assert [(entry.row, entry.reason) for entry in seen.to_fix] == [(3, "There is no name in this row.")]
    assert [entry.read.name for entry in seen.ready][-2:] == ["Uma Lund", "Ro Berg"]
    assert seen.counts["blank"] == blank


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_any_line_ending(ending: str) -> None:
    assert of(ending.join(["Name,ID", "Uma Lund,0417", "Ro Berg,0418"])).counts["ready"] == 2


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_any_encoding_of_the_time(encoding: str) -> None:
    data = "Name\tID\nÉloïse Lund\t0417\n".encode(encoding)
    assert preview(read_file("list.txt", data), []).ready[0].read.name == "Éloïse Lund"


@pytest.mark.parametrize(
    "text", ["1\n2\n3", "Dear parents,\nthe trip is on 4 May.\nBring 5 dollars.", '{"a": 1}', "Name,ID", "Grade\n7\n8"]
)
def test_a_list_without_names_is_refused(text: str) -> None:
    with pytest.raises(NotARoster) as caught:
        of(text)
    assert caught.value.code in ("roster.no-names", "roster.no-rows")
    assert caught.value.sentence.startswith("Pasted text: ")
