"""The timetable as it is stored, as the facts that its rules read. Nothing here writes."""

from collections.abc import Iterable
from datetime import datetime

from shopsafe.school.models import DayCycle, DayOff, MeetingTime, School, Section, Term
from shopsafe.school.timetable.facts import (
    ClassOfTheHour,
    Cycle,
    CycleStart,
    CycleUnit,
    Days,
    SchoolCalendar,
    Timetable,
)
from shopsafe.school.timetable.facts import MeetingTime as MeetingFact
from shopsafe.school.timetable.rules.meetings import class_of_the_hour


def calendar_of(school: School) -> SchoolCalendar:
    """School days: the weekdays of the terms without the days off. Two queries."""
    terms = Term.objects.filter(school=school).order_by("first_day").values_list("first_day", "last_day")
    days_off = DayOff.objects.filter(school=school).values_list("day", flat=True)
    return SchoolCalendar(tuple(Days(*term) for term in terms), frozenset(days_off))


def cycle_of(school: School) -> Cycle | None:
    return _cycle(DayCycle.objects.filter(school=school).first())


def timetable_of(school: School, sections: Iterable[Section]) -> Timetable:
    """When these classes of the school meet. One query for classes without a meeting time, four with."""
    by_pk = {section.pk: section for section in sections}
    rows = list(MeetingTime.objects.filter(section__in=by_pk))
    if not rows:
        return Timetable(school.time_zone, SchoolCalendar())
    times = tuple(meeting_fact(row, by_pk[row.section_id]) for row in rows)
    return Timetable(school.time_zone, calendar_of(school), times, cycle_of(school))


def class_now(sections: list[Section], at: datetime, last_opened: int | None = None) -> ClassOfTheHour | None:
    """The class that opens by itself at `at`, of classes of one school; None without classes."""
    if not sections:
        return None
    timetable = timetable_of(sections[0].school, sections)
    return class_of_the_hour(timetable, at, [section.pk for section in sections], last_opened)


def meeting_fact(row: MeetingTime, section: Section) -> MeetingFact:
    """The row, saved or not, as the rules read it: it holds while the term of the class runs."""
    span = Days(section.term.first_day, section.term.last_day)
    return MeetingFact(section.pk, row.begins, row.ends, frozenset(row.weekdays), frozenset(row.cycle_days), days=span)


def _cycle(row: DayCycle | None) -> Cycle | None:
    if row is None:
        return None
    return Cycle(tuple(row.names), (CycleStart(row.first_day, row.first_place),), CycleUnit(row.unit))
