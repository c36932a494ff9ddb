"""Inspections: due on school days, overdue after them, and never in a break. The lists to begin with."""

import re
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from machines.reports.facts import DueState, InspectionDue, Interval
from machines.reports.rules.inspection_lists import EVERY_KIND, lists_for, read_inspection_lists
from machines.reports.rules.inspections import inspection_due
from shopsafe.school.timetable.facts import Days, SchoolCalendar
from shopsafe.school.timetable.rules.school_days import is_school_day, school_days, week_of

FIXTURES = Path(__file__).resolve().parents[3] / "fixtures"
FALL, SPRING = Days(date(2026, 8, 31), date(2026, 12, 18)), Days(date(2027, 1, 4), date(2027, 5, 28))
THANKSGIVING = frozenset(date(2026, 11, 26) + timedelta(days=count) for count in range(2))
CALENDAR = SchoolCalendar((FALL, SPRING), THANKSGIVING)
SINCE = FALL.first
DAILY, WEEKLY, TERM = Interval.DAILY, Interval.WEEKLY, Interval.TERM


def due(interval: Interval, today: date, *inspected: date, since: date = SINCE) -> InspectionDue:
    return inspection_due(interval, inspected, since, CALENDAR, today)


@pytest.mark.parametrize(
    ("interval", "inspected", "today", "state", "due_by"),
    [
        # Daily: Wednesday before the days off, then Monday.
        (DAILY, date(2026, 11, 24), date(2026, 11, 25), DueState.DUE, date(2026, 11, 25)),
        (DAILY, date(2026, 11, 25), date(2026, 11, 25), DueState.NOT_DUE, date(2026, 11, 30)),
        (DAILY, date(2026, 11, 25), date(2026, 11, 28), DueState.NOT_DUE, date(2026, 11, 30)),
        (DAILY, date(2026, 11, 25), date(2026, 11, 30), DueState.DUE, date(2026, 11, 30)),
        (DAILY, date(2026, 11, 24), date(2026, 11, 26), DueState.OVERDUE, date(2026, 11, 25)),
        (DAILY, date(2026, 12, 18), date(2026, 12, 24), DueState.NOT_DUE, date(2027, 1, 4)),
        # Weekly: the week of the days off ends on Wednesday.
        (WEEKLY, date(2026, 11, 19), date(2026, 11, 20), DueState.NOT_DUE, date(2026, 11, 25)),
        (WEEKLY, date(2026, 11, 19), date(2026, 11, 23), DueState.DUE, date(2026, 11, 25)),
        (WEEKLY, date(2026, 11, 19), date(2026, 11, 25), DueState.DUE, date(2026, 11, 25)),
        (WEEKLY, date(2026, 11, 19), date(2026, 11, 26), DueState.OVERDUE, date(2026, 11, 25)),
        (WEEKLY, date(2026, 11, 25), date(2026, 11, 28), DueState.NOT_DUE, date(2026, 12, 4)),
        # Term: within its first five school days; an inspection in the break before it counts.
        (TERM, date(2026, 9, 2), date(2026, 12, 18), DueState.NOT_DUE, date(2027, 1, 8)),
        (TERM, date(2026, 9, 2), date(2027, 1, 4), DueState.DUE, date(2027, 1, 8)),
        (TERM, date(2026, 9, 2), date(2027, 1, 9), DueState.OVERDUE, date(2027, 1, 8)),
        (TERM, date(2026, 12, 28), date(2027, 1, 9), DueState.NOT_DUE, None),
        (TERM, date(2026, 12, 18), date(2027, 1, 4), DueState.DUE, date(2027, 1, 8)),
        (TERM, date(2027, 5, 28), date(2027, 6, 30), DueState.NOT_DUE, None),
    ],
)
def test_inspection_is_due_by_the_school_calendar(interval, inspected, today, state, due_by):
    answer = due(interval, today, inspected)
    assert (answer.state, answer.due_by) == (state, due_by)


@pytest.mark.parametrize(("interval", "due_by"), [(DAILY, 8), (WEEKLY, 9), (TERM, 14)])
def test_new_machine_is_due_from_the_day_it_is_inspected(interval, due_by):
    added = date(2026, 10, 8)  # a Thursday
    assert due(interval, added, since=added) == InspectionDue(DueState.DUE, added, date(2026, 10, due_by))


def test_machine_added_on_the_last_day_of_a_term_is_due_that_day():
    last = FALL.last
    assert due(TERM, last, since=last) == InspectionDue(DueState.DUE, last, last)


def test_latest_of_several_inspections_counts_in_any_order():
    days = [date(2026, 11, 2), date(2026, 11, 9), date(2026, 11, 4)]
    assert due(DAILY, date(2026, 11, 9), *days).state is DueState.NOT_DUE


def test_inspection_on_a_day_to_come_does_not_count():
    assert due(DAILY, date(2026, 11, 9), date(2026, 11, 10), since=date(2026, 11, 9)).state is DueState.DUE


def test_no_inspection_is_due_without_a_school_day():
    assert inspection_due(TERM, [], SINCE, SchoolCalendar(), SINCE) == InspectionDue(DueState.NOT_DUE)
    never = SchoolCalendar((FALL,), weekdays=frozenset())
    assert all(inspection_due(interval, [], SINCE, never, SINCE).due_by is None for interval in Interval)


days = st.integers(-20, 320).map(lambda count: FALL.first + timedelta(days=count))
calendars = st.builds(SchoolCalendar, st.just((FALL, SPRING)), st.frozensets(days, max_size=80))


@given(st.sampled_from(Interval), st.lists(days, max_size=4), days, calendars, days)
def test_due_days_are_school_days_in_order_and_match_the_state(interval, inspected, since, calendar, today):
    answer = inspection_due(interval, inspected, since, calendar, today)
    if answer.due_by is None:
        assert answer == InspectionDue(DueState.NOT_DUE)
        return
    assert is_school_day(calendar, answer.first_day)
    assert is_school_day(calendar, answer.due_by)
    assert since <= answer.first_day <= answer.due_by
    assert (answer.state is DueState.NOT_DUE) == (today < answer.first_day)
    assert (answer.state is DueState.OVERDUE) == (today > answer.due_by)


@given(st.sampled_from([DAILY, WEEKLY]), st.lists(days, max_size=4), days, calendars)
def test_inspection_on_a_school_day_settles_its_day_or_week(interval, inspected, today, calendar):
    answer = inspection_due(interval, [*inspected, today], FALL.first, calendar, today)
    assert answer.state is DueState.NOT_DUE
    if answer.first_day is not None:
        assert answer.first_day > today
        assert interval is DAILY or week_of(answer.first_day) > week_of(today)


@given(st.sampled_from(Interval), st.lists(days, max_size=4), days, calendars)
def test_overdue_inspection_stays_overdue_until_it_is_done(interval, inspected, today, calendar):
    done = [day for day in inspected if day <= today]
    if inspection_due(interval, done, FALL.first, calendar, today).state is DueState.OVERDUE:
        later = inspection_due(interval, done, FALL.first, calendar, today + timedelta(days=30))
        assert later.state is DueState.OVERDUE


@given(calendars, days)
def test_daily_inspection_is_never_due_on_a_day_without_school(calendar, today):
    if not is_school_day(calendar, today):
        before = max(school_days(calendar, FALL.first, today), default=None)
        inspected = [before] if before else []
        assert inspection_due(DAILY, inspected, FALL.first, calendar, today).state is DueState.NOT_DUE


# The lists to begin with


LISTS = read_inspection_lists((FIXTURES / "inspections" / "lists.toml").read_text(encoding="utf-8"))
SHELF = {path.stem: path.read_text(encoding="utf-8") for path in (FIXTURES / "shelf").glob("*.toml")}
LINES = [(rows.kind, line) for lists in LISTS.values() for rows in lists for line in rows.lines]


def test_every_line_cites_a_source_that_the_table_of_sources_lists():
    table = (FIXTURES / "shelf" / "SOURCES.md").read_text(encoding="utf-8")
    sources = {row.split("|")[1].strip() for row in table.splitlines() if row.startswith("| ")}
    assert {line.source for _, line in LINES} <= sources


def test_every_list_is_of_a_machine_type_of_the_starter_banks():
    text = "\n".join(SHELF.values())
    kinds = set(re.findall(r'^\[machine\]\ncode = "([a-z0-9-]+)"', text, re.MULTILINE))
    assert LISTS.keys() - kinds == {EVERY_KIND}


def test_lines_are_statements_and_none_is_there_twice():
    for kind, line in LINES:
        assert line.says.endswith("."), (kind, line.says)
        assert line.says[0].isupper(), (kind, line.says)
    assert len({(kind, line.says) for kind, line in LINES}) == len(LINES)


@pytest.mark.parametrize(
    ("kind", "words", "source"),
    [
        ("bench-grinder", "1/8 in at most from its wheel", "29 CFR 1910.215(a)(4)"),
        ("bench-grinder", "1/4 in at most from its wheel", "29 CFR 1910.215(b)(9)"),
        ("jointer", "1/8 in at most beyond the cutter head", "29 CFR 1910.213(j)(1)"),
        ("jointer", "2 1/2 in wide at most", "WAC 296-806-48056"),
        ("table-saw", "within 1/4 in of it", "WAC 296-806-48012"),
        ("table-saw", "within 10 seconds", "HSE WIS16"),
        ("belt-and-disc-sander", "1/16 in at most from the disc", "NIOSH FACE 15-MA-1NF"),
        ("oxy-fuel-and-plasma", "15 psi at most", "29 CFR 1910.253(a)(2)"),
        ("oxy-fuel-and-plasma", "20 ft from fuel gas", "29 CFR 1910.253(b)(4)(iii)"),
        ("arc-welding", "within 35 ft", "29 CFR 1910.252(a)(2)(vii)"),
        ("arc-welding", "within 10 ft of the holder", "29 CFR 1926.351(b)(2)"),
        ("angle-grinder", "half of the wheel at least", "29 CFR 1910.243(c)(3)"),
        ("sheet-metal", "1 1/2 in of the blade has an opening of 1/4 in at most", "29 CFR 1910.217 Table O-10"),
    ],
)
def test_line_states_the_published_limit_beside_its_section(kind, words, source):
    # Limits as published in the sections named; the same table of sources says which were read and which not.
    assert any(words in line.says and line.source == source for own, line in LINES if own == kind)


def test_lists_of_a_machine_type_begin_with_those_for_every_machine():
    lists = {rows.interval: rows for rows in lists_for("band-saw", LISTS)}
    every = {rows.interval: rows for rows in LISTS[EVERY_KIND]}
    assert lists[WEEKLY].lines[: len(every[WEEKLY].lines)] == every[WEEKLY].lines
    assert lists[WEEKLY].lines[-1] == LISTS["band-saw"][0].lines[-1]
    own = lists_for("a-type-of-our-own", LISTS)
    assert [(rows.kind, rows.interval) for rows in own] == [("a-type-of-our-own", WEEKLY), ("a-type-of-our-own", TERM)]
    assert lists_for("band-saw", {}) == ()


def test_file_is_read_as_it_is_written():
    text = f'[[machine]]\nkind = "a"\nterm = [{{ says = "{"x" * 120}", source = "common practice" }}]'
    (rows,) = read_inspection_lists(text)["a"]
    assert (rows.kind, rows.interval) == ("a", TERM)
    assert [(line.says, line.source) for line in rows.lines] == [("x" * 120, "common practice")]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "can't be read"),
        ("= 1", "can't be read"),
        ("[[machine]]\nweekly = []", "missing or there twice"),
        ('[[machine]]\nkind = "a"\nterm = []\n[[machine]]\nkind = "a"\nterm = []', "there twice"),
        ('[[machine]]\nkind = "a"', "under daily, weekly or term"),
        ('[[machine]]\nkind = "a"\nyearly = []', "under daily, weekly or term"),
        ('[[machine]]\nkind = "a"\nterm = [{ says = "Yes." }]', "says and source"),
        ('[[machine]]\nkind = "a"\nterm = [{ says = "", source = "common practice" }]', "says and source"),
        (f'[[machine]]\nkind = "a"\nterm = [{{ says = "{"x" * 121}", source = "s" }}]', "more than 120 characters"),
    ],
)
def test_file_that_is_not_whole_is_refused_with_a_reason(text, message):
    with pytest.raises(ValueError, match=message):
        read_inspection_lists(text)
