"""Whether a sheet on the wall still says what is true."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from machines.prints.rules.posted import ReprintReason, SheetContents, from_data, reprint_reasons

TODAY = date(2026, 10, 14)
CARD = SheetContents(frozenset({(1, 9), (2, 9)}), "w", date(2026, 12, 18), None)


def codes(printed: SheetContents, now: SheetContents, today: date = TODAY) -> list[str]:
    return [change.code for change in reprint_reasons(printed, now, today)]


def test_a_sheet_that_says_the_same_needs_nothing() -> None:
    assert reprint_reasons(CARD, CARD, TODAY) == ()


def test_student_who_lost_clearance_comes_first() -> None:
    now = replace(CARD, cleared=frozenset({(2, 9), (3, 9)}), words="other")
    assert reprint_reasons(CARD, now, TODAY) == (ReprintReason("gone", 1, 9), ReprintReason("new", 3, 9))


@pytest.mark.parametrize(("today", "found"), [(date(2026, 12, 18), []), (date(2026, 12, 19), ["over"])])
def test_a_sheet_holds_until_the_end_of_its_last_day(today: date, found: list[str]) -> None:
    assert codes(CARD, CARD, today) == found


def test_later_end_is_not_a_reason_to_reprint() -> None:
    assert codes(CARD, replace(CARD, valid_until=date(2027, 6, 1))) == []


def test_changed_words_are_listed_when_nothing_else_changed() -> None:
    assert codes(CARD, replace(CARD, words="other")) == ["words"]


def test_a_tag_out_is_all_that_counts() -> None:
    tagged_contents = SheetContents(frozenset(), "x", None, 7)
    assert codes(CARD, tagged_contents) == ["out"]
    assert codes(tagged_contents, CARD) == ["back"]
    assert codes(tagged_contents, replace(tagged_contents, words="y")) == []
    assert codes(tagged_contents, replace(tagged_contents, out=8)) == ["out"]


@pytest.mark.parametrize(("code", "grave"), [("gone", True), ("out", True), ("over", True), ("new", False)])
def test_grave_is_what_lets_someone_through(code: str, grave: bool) -> None:
    assert ReprintReason(code).grave is grave


cells = st.frozensets(st.tuples(st.integers(1, 5), st.integers(1, 5)))
shows = st.builds(SheetContents, cells, st.sampled_from("ab"), st.none() | st.dates(), st.none())


@given(shows)
def test_stored_contents_are_read_back(one: SheetContents) -> None:
    assert from_data(one.as_data()) == one


@given(shows, shows)
def test_nobody_who_lost_a_clearance_is_missed(printed: SheetContents, now: SheetContents) -> None:
    reported = {
        (change.student, change.machine) for change in reprint_reasons(printed, now, TODAY) if change.code == "gone"
    }
    assert reported == printed.cleared - now.cleared
