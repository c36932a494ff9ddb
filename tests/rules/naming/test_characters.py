"""The characters of a name: what is taken out, what is refused with its place, and what is warned of."""

import time

import pytest

from shopsafe.school.naming.rules.characters import clean_name, drawn_alike, mixed_alphabets, unfit, unprintable
from shopsafe.school.rosters.rules import ExistingPerson, RosterPreview, preview, read_pasted


@pytest.mark.parametrize(
    ("name", "cleaned"),
    [
        ("Band\nsaw\t 2", "Band saw 2"),
        ("Band\u2028saw", "Band saw"),
        ("\u202eBand saw\u202c", "Band saw"),
        ("\u2067Band\u2069 saw\ufeff", "Band saw"),
        ("Rene\u0301e \ufe0f", "Renée"),
        ("راضیه‌سادات", "راضیه‌سادات"),
    ],
)
def test_a_name_is_one_line_without_what_shows_nothing(name: str, cleaned: str) -> None:
    assert clean_name(name) == cleaned
    assert unfit(cleaned) == ""


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("Saw \x07", "Character 5 (U+0007) is a control character."),
        ("Saw\x9b2", "Character 4 (U+009B) is a control character."),
        ("\U0001f600 Uma", "Character 1 (U+1F600) is an emoji or symbol."),
        ("Uma \u2764", "Character 5 (U+2764) is an emoji or symbol."),
        ("Uma\U0001f3fd", "Character 4 (U+1F3FD) is an emoji or symbol."),
        ("1\u20e3", "Character 2 (U+20E3) is an emoji or symbol."),
        ("Uma\ue000", "Character 4 (U+E000) is not a letter that can be shown."),
        ("Uma\ud800", "Character 4 (U+D800) is half a character."),
        ("Uma\U000e0041", "Character 4 (U+E0041) is not a letter that can be shown."),
        ("e" + "\u0301" * 40, "A letter carries too many marks."),
    ],
)
def test_a_name_that_cannot_be_printed_is_refused_with_its_place(name: str, said: str) -> None:
    assert unfit(clean_name(name)) == said


@pytest.mark.parametrize("name", ["Ms O’Neil-Kaya", "Łukasz Ørsted", "Анна Петрова", "李 小明", "Saw №2, 45° ™", "नेहा"])
def test_names_of_people_and_places_are_fine(name: str) -> None:
    assert clean_name(name) == name
    assert (unfit(name), mixed_alphabets(name)) == ("", "")


def test_a_million_marks_on_a_letter_take_no_time() -> None:
    began = time.process_time()
    assert unfit(clean_name("e" + "\u0315\u0300\u0327" * 300_000))
    assert time.process_time() - began < 1


def test_a_word_of_two_alphabets_is_warned_of() -> None:
    assert mixed_alphabets("Аnna Berg").startswith("“Аnna” mixes Cyrillic and Latin letters.")
    assert drawn_alike("Аnnа") == "Anna"


def test_a_longer_text_may_have_lines_and_symbols_and_nothing_that_turns_it() -> None:
    assert unprintable("Eyes \u2764\n\tSleeves") == ""
    assert (unprintable("a\x07"), unprintable("a\u202eb")) == ("U+0007", "U+202E")


# ---- class lists ----------------------------------------------------------------------------------------------------


def seen(text: str, *known: ExistingPerson) -> RosterPreview:
    return preview(read_pasted(text), known)


def test_a_row_with_an_emoji_is_to_fix_with_its_place() -> None:
    (row,) = seen("Name,ID\nUma \U0001f600 Lund,000417\n").to_fix
    assert (row.row, row.may_accept) == (2, False)
    assert row.reason == "The name can't be printed. Character 5 (U+1F600) is an emoji or symbol. Take it out."


def test_a_row_that_looks_like_a_known_name_in_another_alphabet_is_warned_of() -> None:
    known = ExistingPerson(1, "Anna Berg", "1", here=True)
    (row,) = seen("Name,ID\nАnnа Berg,000417\n", known).ready
    assert "looks like that of Anna Berg" in " ".join(row.notes)
    (far,) = seen("Name,ID\nАnnа Berg,000417\n", ExistingPerson(1, "Anna Berg", "1", in_reach=False)).ready
    assert "Anna" not in " ".join(far.notes)


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("Uma Lund,000417", "The number 000417 belongs to a student in none of your classes. Ask the office."),
        ("Uma Lund,417", "A student in none of your classes has nearly the same number."),
        ("Ro Berg,", "There is no student number in this row."),
        ("Ro Berg,000500", ""),
    ],
)
def test_a_student_out_of_reach_is_not_named(row: str, said: str) -> None:
    far = ExistingPerson(1, "Roberta Bergström", "000417", in_reach=False)
    (entry,) = seen(f"Name,ID\n{row}\n", far).entries
    assert entry.reason.startswith(said)
    assert entry.other is None
    assert "Roberta" not in entry.reason + " ".join(entry.notes)


def test_namesake_out_of_reach_is_named_without_the_number() -> None:
    (entry,) = seen("Name,ID\nRo Berg,000500\n", ExistingPerson(1, "Ro Berg", "000417", in_reach=False)).ready
    assert "000417" not in " ".join(entry.notes)
    assert "in another class" in " ".join(entry.notes)
