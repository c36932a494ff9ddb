"""The timetable: school days, A/B and rotating days, meetings at a moment, across days off and daylight saving."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from shopsafe.school.timetable.facts import (
    Cycle,
    CycleStart,
    CycleUnit,
    Days,
    FaultCode,
    HourReason,
    Meeting,
    MeetingTime,
    SchoolCalendar,
    Timetable,
)
from shopsafe.school.timetable.rules.faults import faults
from shopsafe.school.timetable.rules.meetings import class_of_the_hour, meeting_at, meetings_on, next_meeting
from shopsafe.school.timetable.rules.school_days import (
    cycle_places,
    is_school_day,
    next_school_day,
    school_days,
    week_of,
)

CHICAGO = "America/Chicago"
TERM = Days(date(2026, 8, 31), date(2027, 1, 15))
THANKSGIVING = frozenset({date(2026, 11, 26), date(2026, 11, 27)})
CALENDAR = SchoolCalendar((TERM,), THANKSGIVING)
A_B = Cycle(("A", "B"), (CycleStart(TERM.first),))
TEAK, MAPLE = 9, 8


def local(day: date, at: time, zone: str = CHICAGO) -> datetime:
    return datetime.combine(day, at, ZoneInfo(zone)).astimezone(UTC)


def on_weekdays(section: int, begins: time, ends: time, *weekdays: int) -> MeetingTime:
    return MeetingTime(section, begins, ends, frozenset(weekdays))


def table(*rows: MeetingTime, cycle: Cycle | None = None, calendar: SchoolCalendar = CALENDAR) -> Timetable:
    return Timetable(CHICAGO, calendar, rows, cycle)


# School days and cycle days


@pytest.mark.parametrize(
    ("day", "expected"),
    [
        (date(2026, 11, 25), True),  # a Wednesday
        (date(2026, 11, 26), False),  # a day off
        (date(2026, 11, 28), False),  # a Saturday
        (date(2026, 8, 30), False),  # the day before the term
        (date(2027, 1, 15), True),  # its last day
        (date(2027, 1, 18), False),  # after the term
    ],
)
def test_school_day_is_a_weekday_of_the_term_without_days_off(day, expected):
    assert is_school_day(CALENDAR, day) is expected


def test_next_school_day_skips_the_days_off():
    assert next_school_day(CALENDAR, date(2026, 11, 26)) == date(2026, 11, 30)
    assert next_school_day(CALENDAR, date(2027, 1, 16)) is None


def test_day_off_does_not_use_up_a_cycle_day():
    places = cycle_places(A_B, CALENDAR, date(2026, 11, 24), date(2026, 12, 1))
    assert list(places) == [date(2026, 11, 24), date(2026, 11, 25), date(2026, 11, 30), date(2026, 12, 1)]
    first = places[date(2026, 11, 24)]
    assert list(places.values()) == [first, 1 - first, first, 1 - first]


def test_week_without_school_does_not_use_up_a_week_of_the_cycle():
    weeks = replace(A_B, unit=CycleUnit.WEEK, starts=(CycleStart(date(2026, 12, 14)),))
    holidays = frozenset(date(2026, 12, 21) + timedelta(days=count) for count in range(12))
    places = cycle_places(weeks, SchoolCalendar((TERM,), holidays), date(2026, 12, 14), date(2027, 1, 8))
    assert {day.isoformat(): place for day, place in places.items() if day.weekday() == 0} == {
        "2026-12-14": 0,
        "2027-01-04": 1,
    }


def test_cycle_restarts_at_a_later_start_and_has_a_first_day():
    cycle = Cycle(("1", "2", "3"), (CycleStart(date(2026, 9, 2), 2), CycleStart(date(2026, 9, 7), 0)))
    places = cycle_places(cycle, CALENDAR, date(2026, 9, 1), date(2026, 9, 9))
    assert {day.day: place for day, place in places.items()} == {2: 2, 3: 0, 4: 1, 7: 0, 8: 1, 9: 2}


@st.composite
def calendars(draw: st.DrawFn) -> SchoolCalendar:
    off = st.integers(0, 130).map(lambda count: TERM.first + timedelta(days=count))
    weekdays = draw(st.frozensets(st.integers(0, 6), min_size=1))
    return SchoolCalendar((TERM,), draw(st.frozensets(off, max_size=60)), weekdays)


@given(calendars(), st.integers(1, 7), st.integers(0, 6))
def test_consecutive_school_days_have_consecutive_cycle_days(calendar, length, place):
    cycle = Cycle(tuple(map(str, range(length))), (CycleStart(TERM.first, place % length),))
    places = cycle_places(cycle, calendar, *TERM)
    assert list(places) == list(school_days(calendar, *TERM))
    for count, cycle_day in enumerate(places.values()):
        assert cycle_day == (place + count) % length


@given(calendars(), st.integers(1, 5), st.data())
def test_cycle_day_is_the_same_whatever_days_are_asked_for(calendar, length, data):
    cycle = Cycle(tuple(map(str, range(length))), (CycleStart(TERM.first),), data.draw(st.sampled_from(CycleUnit)))
    places = cycle_places(cycle, calendar, *TERM)
    first, last = sorted(TERM.first + timedelta(days=data.draw(st.integers(0, 137))) for _ in range(2))
    assert cycle_places(cycle, calendar, first, last) == {d: p for d, p in places.items() if first <= d <= last}


@given(calendars(), st.integers(1, 4))
def test_all_days_of_a_week_share_their_week_of_the_cycle(calendar, length):
    cycle = Cycle(tuple(map(str, range(length))), (CycleStart(TERM.first),), CycleUnit.WEEK)
    weeks: dict[date, set[int]] = {}
    for day, place in cycle_places(cycle, calendar, *TERM).items():
        weeks.setdefault(week_of(day), set()).add(place)
    assert [places for _, places in sorted(weeks.items())] == [{count % length} for count in range(len(weeks))]


# Meetings


def test_meeting_takes_place_on_its_weekdays():
    timetable = table(on_weekdays(TEAK, time(10, 5), time(10, 55), 0, 2))
    assert [meeting.day.day for day in range(9, 16) for meeting in meetings_on(timetable, date(2026, 11, day))] == [
        9,
        11,
    ]
    (meeting,) = meetings_on(timetable, date(2026, 11, 9))
    assert meeting == Meeting(
        TEAK, date(2026, 11, 9), datetime(2026, 11, 9, 16, 5, tzinfo=UTC), datetime(2026, 11, 9, 16, 55, tzinfo=UTC)
    )


def test_meeting_of_a_b_day_carries_the_name_of_the_day():
    rows = (MeetingTime(TEAK, time(9), time(10), cycle_days=frozenset({1})),)
    (meeting,) = meetings_on(table(*rows, cycle=A_B), date(2026, 9, 1))
    assert meeting.cycle_day == "B"
    assert meetings_on(table(*rows, cycle=A_B), date(2026, 9, 2)) == ()


def test_meeting_time_holds_only_in_the_days_of_its_term():
    row = MeetingTime(TEAK, time(9), time(10), days=Days(date(2026, 9, 1), date(2026, 9, 2)))
    assert [len(meetings_on(table(row), date(2026, 9, day))) for day in (1, 2, 3)] == [1, 1, 0]


@pytest.mark.parametrize(
    ("clock", "section"),
    [(time(10, 4, 59), None), (time(10, 5), TEAK), (time(10, 54, 59), TEAK), (time(10, 55), None), (time(11), MAPLE)],
)
def test_class_meets_from_its_first_minute_until_the_bell(clock, section):
    timetable = table(on_weekdays(TEAK, time(10, 5), time(10, 55)), on_weekdays(MAPLE, time(11), time(0)))
    meeting = meeting_at(timetable, local(date(2026, 11, 9), clock))
    assert (meeting and meeting.section) == section


def test_meeting_until_midnight_ends_with_the_day():
    timetable = table(on_weekdays(MAPLE, time(23), time(0)))
    day = date(2026, 11, 9)
    assert meeting_at(timetable, local(day, time(23, 59, 59))).section == MAPLE
    assert meeting_at(timetable, local(day, time(23, 59, 59)) + timedelta(seconds=1)) is None


def test_later_of_two_classes_at_one_time_meets_now():
    timetable = table(on_weekdays(TEAK, time(9), time(12)), on_weekdays(MAPLE, time(10), time(11)))
    assert meeting_at(timetable, local(date(2026, 11, 9), time(10, 30))).section == MAPLE
    assert meeting_at(timetable, local(date(2026, 11, 9), time(10, 30)), sections=[TEAK]).section == TEAK


def test_next_meeting_skips_the_days_off_and_keeps_the_cycle():
    timetable = table(MeetingTime(TEAK, time(9), time(10), cycle_days=frozenset({0})), cycle=A_B)
    places = cycle_places(A_B, CALENDAR, date(2026, 11, 25), date(2026, 12, 2))
    expected = next(day for day, place in places.items() if place == 0 and day > date(2026, 11, 25))
    assert next_meeting(timetable, local(date(2026, 11, 25), time(12))).day == expected


def test_next_meeting_can_be_asked_for_certain_classes():
    timetable = table(on_weekdays(TEAK, time(9), time(10)), on_weekdays(MAPLE, time(11), time(12)))
    at = local(date(2026, 11, 9), time(8))
    assert next_meeting(timetable, at).section == TEAK
    assert next_meeting(timetable, at, sections=[MAPLE]).begins_at == local(date(2026, 11, 9), time(11))


def test_day_before_the_first_start_of_the_cycle_has_no_name():
    cycle = replace(A_B, starts=(CycleStart(date(2026, 9, 2)),))
    timetable = table(on_weekdays(TEAK, time(9), time(10)), cycle=cycle)
    assert [meetings_on(timetable, date(2026, 9, day))[0].cycle_day for day in (1, 2)] == ["", "A"]


def test_next_meeting_is_empty_after_the_last_term():
    timetable = table(on_weekdays(TEAK, time(9), time(10)))
    assert next_meeting(timetable, local(date(2027, 1, 15), time(9))) is None


@pytest.mark.parametrize(
    ("clock", "last_opened", "section", "reason"),
    [
        (time(10, 30), MAPLE, TEAK, HourReason.MEETS_NOW),
        (time(9, 55), MAPLE, TEAK, HourReason.BEGINS_SOON),
        (time(9, 54), MAPLE, MAPLE, HourReason.LAST_OPENED),
        (time(9, 54), None, None, HourReason.NO_CLASS),
        (time(9, 54), 77, None, HourReason.NO_CLASS),  # a class that is no longer this teacher's
    ],
)
def test_class_of_the_hour_meets_now_or_soon_or_was_opened_last(clock, last_opened, section, reason):
    timetable = table(on_weekdays(TEAK, time(10, 5), time(10, 55)))
    answer = class_of_the_hour(timetable, local(date(2026, 11, 9), clock), [TEAK, MAPLE], last_opened)
    assert (answer.section, answer.reason) == (section, reason)
    by_timetable = reason in (HourReason.MEETS_NOW, HourReason.BEGINS_SOON)
    assert (answer.meeting and answer.meeting.section) == (section if by_timetable else None)


def test_class_that_begins_soon_is_found_across_midnight():
    timetable = table(on_weekdays(TEAK, time(10, 5), time(10, 55)), on_weekdays(MAPLE, time(0, 5), time(1)))
    assert class_of_the_hour(timetable, local(date(2026, 11, 9), time(10)), [MAPLE]).reason is HourReason.NO_CLASS
    answer = class_of_the_hour(timetable, local(date(2026, 11, 9), time(23, 58)), [MAPLE])
    assert (answer.reason, answer.meeting.day) == (HourReason.BEGINS_SOON, date(2026, 11, 10))


def test_class_of_the_hour_is_never_a_class_of_another_teacher():
    timetable = table(on_weekdays(TEAK, time(10, 5), time(10, 55)))
    assert class_of_the_hour(timetable, local(date(2026, 11, 9), time(10, 30)), [MAPLE]).section is None


# Daylight saving: in Chicago the clock skips 2:00 to 3:00 on March 8, 2026, and repeats 1:00 to 2:00 on November 1.


ALL_WEEK = SchoolCalendar(weekdays=frozenset(range(7)))


def test_meeting_keeps_its_clock_time_when_daylight_saving_ends():
    timetable = table(on_weekdays(TEAK, time(10, 5), time(10, 55)))
    before = next_meeting(timetable, local(date(2026, 10, 30), time(9)))
    after = next_meeting(timetable, local(date(2026, 10, 30), time(11)))
    assert after.begins_at - before.begins_at == timedelta(days=3, hours=1)
    assert after.begins_at.astimezone(ZoneInfo(CHICAGO)).time() == time(10, 5)


def test_meeting_in_the_skipped_hour_does_not_take_place():
    for ends in (time(3), time(3, 30)):
        skipped = table(on_weekdays(TEAK, time(2, 30), ends), calendar=ALL_WEEK)
        assert meetings_on(skipped, date(2026, 3, 8)) == ()
    timetable = table(on_weekdays(TEAK, time(2, 30), time(3)), calendar=ALL_WEEK)
    assert len(meetings_on(timetable, date(2026, 3, 9))) == 1


def test_meeting_in_the_repeated_hour_is_the_first_one():
    timetable = table(on_weekdays(TEAK, time(1, 30), time(1, 45)), calendar=ALL_WEEK)
    (meeting,) = meetings_on(timetable, date(2026, 11, 1))
    assert meeting.begins_at == datetime(2026, 11, 1, 6, 30, tzinfo=UTC)
    assert meeting.ends_at - meeting.begins_at == timedelta(minutes=15)


times = st.builds(time, st.integers(0, 23), st.sampled_from([0, 15, 30, 59]))
zones = st.sampled_from([CHICAGO, "Europe/London", "Asia/Kathmandu", "Australia/Lord_Howe", "UTC"])
near_changes = st.sampled_from(
    [date(2026, 3, 8), date(2026, 3, 29), date(2026, 4, 5), date(2026, 10, 4), date(2026, 11, 1)]
)


@given(zones, near_changes, st.integers(-2, 2), times, times, st.integers(-90, 90))
def test_meeting_at_a_moment_is_one_of_its_day_and_holds_the_moment(zone, day, shift, begins, ends, minutes):
    assume(begins < ends or ends == time(0))
    timetable = Timetable(zone, ALL_WEEK, (MeetingTime(TEAK, begins, ends),))
    at = local(day + timedelta(days=shift), begins, zone) + timedelta(minutes=minutes)
    meeting = meeting_at(timetable, at)
    today = meetings_on(timetable, at.astimezone(ZoneInfo(zone)).date())
    if meeting is None:
        assert all(not other.begins_at <= at < other.ends_at for other in today)
    else:
        assert meeting in today
        assert meeting.begins_at <= at < meeting.ends_at
    following = next_meeting(timetable, at)
    assert following.begins_at > at
    assert following.begins_at - at < timedelta(days=2, hours=2)


# Faults


@pytest.mark.parametrize(
    ("timetable", "code"),
    [
        (table(on_weekdays(TEAK, time(10), time(9))), FaultCode.ENDS_BEFORE_IT_BEGINS),
        (table(on_weekdays(TEAK, time(10), time(10))), FaultCode.ENDS_BEFORE_IT_BEGINS),
        (table(on_weekdays(TEAK, time(9), time(10), 5)), FaultCode.NEVER_MEETS),
        (table(MeetingTime(TEAK, time(9), time(10), days=Days(TERM.last, TERM.first))), FaultCode.NEVER_MEETS),
        (table(MeetingTime(TEAK, time(9), time(10), cycle_days=frozenset({0}))), FaultCode.NO_CYCLE),
        (
            table(MeetingTime(TEAK, time(9), time(10), cycle_days=frozenset({2})), cycle=A_B),
            FaultCode.NO_SUCH_CYCLE_DAY,
        ),
        (table(cycle=replace(A_B, starts=())), FaultCode.NO_START),
        (table(cycle=replace(A_B, starts=(CycleStart(TERM.first, 2),))), FaultCode.NO_SUCH_CYCLE_DAY),
        (
            table(on_weekdays(TEAK, time(9), time(10), 0), on_weekdays(TEAK, time(9, 59), time(11))),
            FaultCode.MEETS_TWICE,
        ),
    ],
)
def test_fault_is_named_with_a_sentence(timetable, code):
    (fault,) = faults(timetable)
    assert fault.code is code
    assert fault.sentence
    assert fault.section == (TEAK if timetable.meeting_times else None)


@pytest.mark.parametrize(
    ("row", "other", "overlap"),
    [
        (
            MeetingTime(TEAK, time(9), time(10), frozenset({0, 1})),
            MeetingTime(TEAK, time(9), time(10), frozenset({1})),
            True,
        ),
        (
            MeetingTime(TEAK, time(9), time(10), cycle_days=frozenset({0, 1})),
            MeetingTime(TEAK, time(9), time(10), cycle_days=frozenset({1})),
            True,
        ),
        (
            MeetingTime(TEAK, time(9), time(10), cycle_days=frozenset({0})),
            MeetingTime(TEAK, time(9), time(10), frozenset({0})),
            True,
        ),
        (
            MeetingTime(TEAK, time(9), time(10), days=Days(TERM.first, date(2026, 10, 1))),
            MeetingTime(TEAK, time(9), time(10), days=Days(date(2026, 10, 1), TERM.last)),
            True,
        ),
        (
            MeetingTime(TEAK, time(9), time(10), days=Days(TERM.first, date(2026, 9, 30))),
            MeetingTime(TEAK, time(9), time(10), days=Days(date(2026, 10, 1), TERM.last)),
            False,
        ),
        (MeetingTime(TEAK, time(9), time(10)), MeetingTime(TEAK, time(10), time(11)), False),
    ],
)
def test_times_of_one_class_overlap_only_on_a_day_of_both(row, other, overlap):
    for rows in ((row, other), (other, row)):
        codes = [fault.code for fault in faults(table(*rows, cycle=A_B))]
        assert codes == ([FaultCode.MEETS_TWICE] if overlap else [])


def test_time_of_a_single_day_or_of_every_cycle_day_has_no_fault():
    one_day = MeetingTime(TEAK, time(9), time(10), days=Days(TERM.first, TERM.first))
    every_day = MeetingTime(MAPLE, time(9), time(10), cycle_days=frozenset({0, 1}))
    assert faults(table(one_day, every_day, cycle=A_B)) == ()


def test_timetable_that_works_has_no_faults():
    rows = (
        on_weekdays(TEAK, time(9), time(10), 0, 2),
        on_weekdays(TEAK, time(10), time(11), 0),  # begins as the other ends
        on_weekdays(TEAK, time(9), time(10), 1),  # another day
        on_weekdays(MAPLE, time(9), time(0), 0),  # another class, until midnight
        MeetingTime(TEAK, time(9), time(10), frozenset({3}), frozenset({0})),
        MeetingTime(TEAK, time(9), time(10), frozenset({3}), frozenset({1})),  # the other week
    )
    assert faults(table(*rows, cycle=A_B)) == ()
