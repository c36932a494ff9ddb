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
    assert codes(tagged_contents, replace(tagged_contents, out_of_use=8)) == ["out"]


DATED = replace(CARD, days=frozenset({(1, 9, date(2026, 10, 20))}))


@pytest.mark.parametrize(("today", "expected"), [(date(2026, 10, 20), ["gone"]), (date(2026, 10, 21), [])])
def test_wheel_with_its_own_last_day_needs_no_new_sheet_after_it(today: date, expected: list[str]) -> None:
    now = replace(DATED, cleared=frozenset({(2, 9)}), days=frozenset())
    assert codes(DATED, now, today) == expected


def test_wheel_that_is_granted_again_after_its_last_day_is_new() -> None:
    now = replace(DATED, days=frozenset())
    assert codes(DATED, now, date(2026, 10, 21)) == ["new"]


def test_another_last_day_changes_what_the_sheet_says() -> None:
    assert codes(DATED, replace(DATED, days=frozenset({(1, 9, date(2026, 10, 22))}))) == ["words"]
    assert codes(CARD, DATED) == ["words"]


def test_machine_out_of_use_is_one_reason_for_all_its_wheels() -> None:
    chart = SheetContents(frozenset({(1, 8), (1, 9), (2, 9)}), "w", None, None)
    barred = SheetContents(frozenset({(1, 8)}), "v", None, None, barred=frozenset({9}))
    assert reprint_reasons(chart, barred, TODAY) == (ReprintReason("barred", machine=9),)
    assert reprint_reasons(barred, chart, TODAY) == (ReprintReason("back", machine=9),)
    also_lost = replace(barred, cleared=frozenset())
    assert codes(chart, also_lost) == ["barred", "gone"]


@pytest.mark.parametrize(
    ("code", "grave"),
    [("gone", True), ("out", True), ("barred", True), ("over", True), ("new", False), ("back", False)],
)
def test_grave_is_what_lets_someone_through(code: str, grave: bool) -> None:
    assert ReprintReason(code).grave is grave


cells = st.frozensets(st.tuples(st.integers(1, 5), st.integers(1, 5)))
dated = st.frozensets(st.tuples(st.integers(1, 5), st.integers(1, 5), st.dates()))
shows = st.builds(SheetContents, cells, st.sampled_from("ab"), st.none() | st.dates(), st.none())
charts = st.builds(
    SheetContents, cells, st.just("a"), st.none(), st.none(), dated, st.frozensets(st.integers(1, 5), max_size=2)
)


@given(shows | charts)
def test_stored_contents_are_read_back(one: SheetContents) -> None:
    assert from_data(one.as_data()) == one


@given(shows, shows)
def test_no_one_who_lost_a_clearance_is_missed(printed: SheetContents, now: SheetContents) -> None:
    reported = {
        (change.student, change.machine) for change in reprint_reasons(printed, now, TODAY) if change.code == "gone"
    }
    assert reported == printed.cleared - now.cleared
