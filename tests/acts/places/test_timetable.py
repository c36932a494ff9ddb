"""A class has its meeting times; the school has its day cycle and its days off."""

from datetime import UTC, date, datetime, time
from typing import Any

import pytest

from shopsafe.school.models import DayCycle, DayOff, MeetingTime
from shopsafe.school.refusals import Refused
from shopsafe.school.timetable.acts import NewTime, add_day_off, remove_day_off, set_cycle, set_meeting_times
from shopsafe.school.timetable.facts import HourReason
from shopsafe.school.timetable.queries import class_now
from tests.acts.reading import code_of, entries
from tests.cast import Cast
from tests.factories.people import SectionFactory

AT = datetime(2026, 10, 12, 15, 10, tzinfo=UTC)  # a Monday, 10:10 at the school
MORNING = NewTime(time(10, 5), time(10, 50))


def times(cast: Cast, *rows: NewTime, **more: Any) -> Any:
    return set_meeting_times(
        **{"section": cast.section, "times": rows or [MORNING], "by": cast.teacher, "at": AT} | more
    )


def cycle(cast: Cast, **more: Any) -> Any:
    asked = {"names": ["A", "B"], "unit": "day", "day": AT.date(), "place": 0, "by": cast.teacher, "at": AT}
    return set_cycle(**asked | more)


def day_off(cast: Cast, **more: Any) -> Any:
    return add_day_off(**{"day": date(2026, 11, 26), "name": "Thanksgiving", "by": cast.teacher, "at": AT} | more)


def test_class_opens_by_itself_at_its_time(cast: Cast) -> None:
    other = SectionFactory(shop=cast.shop, term=cast.section.term, school=cast.school)
    sections = [other, cast.section]
    assert class_now(sections, AT).section is None  # type: ignore[union-attr]
    assert class_now(sections, AT, other.pk).section == other.pk  # type: ignore[union-attr]
    times(cast)
    now = class_now(sections, AT, other.pk)
    assert now
    assert (now.section, now.reason) == (cast.section.pk, HourReason.MEETS_NOW)
    assert '"10:05"' in entries("class.meeting_times_set")[0]


def test_times_replace_those_before(cast: Cast) -> None:
    times(cast, MORNING, NewTime(time(13, 0), time(13, 45), weekdays=(4,)))
    times(cast, NewTime(time(8, 0), time(8, 45)))
    assert [row.begins for row in MeetingTime.objects.all()] == [time(8)]


@pytest.mark.parametrize(
    ("rows", "sentence"),
    [
        ([NewTime(time(11), time(10))], "Time 1: The end must be after the beginning."),
        ([MORNING, NewTime(time(9), time(9, 40), cycle_days=(1,))], "Time 2: This time is for certain days"),
        ([MORNING, NewTime(time(10, 30), time(11))], "Two times of this class overlap."),
        ([NewTime(time(10), time(11), weekdays=(6,))], "Time 1: This time never comes"),
    ],
)
def test_times_with_a_fault_are_refused(cast: Cast, rows: list[NewTime], sentence: str) -> None:
    with pytest.raises(Refused) as refused:
        times(cast, *rows)
    assert refused.value.code == "timetable.fault"
    assert refused.value.sentence.startswith(sentence)
    assert not MeetingTime.objects.exists()


def test_cycle_decides_the_class_and_a_day_off_uses_up_no_day(cast: Cast) -> None:
    cycle(cast)  # Monday is A
    times(cast, NewTime(time(10, 5), time(10, 50), cycle_days=(1,)))
    assert class_now([cast.section], AT).section is None  # type: ignore[union-attr]
    tuesday, wednesday = (AT.replace(day=day) for day in (13, 14))
    assert class_now([cast.section], tuesday).section == cast.section.pk  # type: ignore[union-attr]
    day_off(cast, day=tuesday.date())
    assert class_now([cast.section], tuesday).section is None  # type: ignore[union-attr]
    assert class_now([cast.section], wednesday).section == cast.section.pk  # type: ignore[union-attr]


def test_cycle_refuses_what_it_cannot_count(cast: Cast) -> None:
    assert code_of(cycle, cast, names=["A"]) == "cycle.too-few"
    assert code_of(cycle, cast, names=["A", "A"]) == "cycle.same-name"
    assert code_of(cycle, cast, place=2) == "cycle.no-place"
    assert code_of(cycle, cast, names=[str(number) for number in range(13)]) == "cycle.too-many"
    cycle(cast)
    times(cast, NewTime(time(10, 5), time(10, 50), cycle_days=(1,)))
    assert code_of(cycle, cast, names=[]) == "cycle.in-use"
    times(cast)
    assert cycle(cast, names=[]) is None
    assert not DayCycle.objects.exists()


def test_day_off_is_removed_once(cast: Cast) -> None:
    row = day_off(cast)
    day_off(cast, name="Holiday")
    assert [off.name for off in DayOff.objects.all()] == ["Holiday"]
    for _ in range(2):
        remove_day_off(day_off=row, by=cast.teacher, at=AT)
    assert not DayOff.objects.exists()
    assert len(entries("school.day_off_removed")) == 1


def test_others_are_refused(cast: Cast) -> None:
    for person in [cast.student, cast.substitute, cast.colleague, cast.stranger_teacher]:
        assert code_of(times, cast, by=person) == "access.not-yours"
    for person in [cast.student, cast.substitute]:
        assert code_of(cycle, cast, by=person) == "access.not-yours"
        assert code_of(day_off, cast, by=person) == "access.not-yours"
