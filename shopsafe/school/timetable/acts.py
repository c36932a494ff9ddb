"""A teacher says when a class meets, which day of the cycle it is, and on which days there is no school."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any

from shopsafe.act import act
from shopsafe.language.messages import _
from shopsafe.logbook.append import append
from shopsafe.school.access import allow
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock_school
from shopsafe.school.models import DayCycle, DayOff, MeetingTime, Person, Section
from shopsafe.school.naming.entered import entered_name
from shopsafe.school.refusals import Refused
from shopsafe.school.timetable.facts import Timetable
from shopsafe.school.timetable.queries import calendar_of, cycle_of, meeting_fact
from shopsafe.school.timetable.rules.faults import faults

MOST_TIMES = 10  # of one class: two a weekday
MOST_CYCLE_DAYS = 12


@dataclass(frozen=True)
class NewTime:
    """One meeting time as it is asked for. Empty lists of days mean any day."""

    begins: time
    ends: time
    weekdays: tuple[int, ...] = ()
    cycle_days: tuple[int, ...] = ()


@act
def set_meeting_times(
    *, section: Section, times: Sequence[NewTime], by: Person, at: datetime | None = None
) -> list[MeetingTime]:
    """These are the times of the class from now on; none of those before stays.

    Refused: access.not-yours, timetable.too-many, timetable.fault (422).
    """
    allow(by, "change a class", section=section)
    lock_school(section.school_id)
    at = act_moment(section.school_id, at)
    if len(times) > MOST_TIMES:
        raise Refused("timetable.too-many", _("A class has up to {number} meeting times.", number=MOST_TIMES), 422)
    rows = [_row(section, new_time) for new_time in times]
    _must_work(section, rows)
    MeetingTime.objects.filter(section=section).delete()
    for row in rows:
        row.save(force_insert=True)
    shown = [_time_record(row) for row in rows]
    append(
        kind="class.meeting_times_set",
        school=section.school_id,
        at=at,
        payload={"section": _named(section), "times": shown, "by": by.as_record()},
    )
    return rows


@act
def set_cycle(
    *, names: Sequence[str], unit: str, day: date, place: int, by: Person, at: datetime | None = None
) -> DayCycle | None:
    """The day cycle of the school, with the place of one day in it; no names: no cycle.

    Refused: access.not-yours, cycle.too-many, cycle.too-few, cycle.same-name, cycle.no-place, cycle.in-use (422).
    """
    allow(by, "set the timetable")
    lock_school(by.school_id)
    at = act_moment(by.school_id, at)
    cycle_names = [entered_name(name, _("The name of a cycle day")) for name in names]
    _check_cycle(by, cycle_names, place)
    payload: dict[str, Any] = {"names": cycle_names, "by": by.as_record()}
    if not cycle_names:
        DayCycle.objects.filter(school=by.school_id).delete()
        append(kind="school.day_cycle_set", school=by.school_id, at=at, payload=payload)
        return None
    values = {"names": cycle_names, "unit": unit, "first_day": day, "first_place": place}
    row, _created = DayCycle.objects.update_or_create(school_id=by.school_id, defaults=values)
    payload |= {"unit": unit, "day": day, "is": cycle_names[place]}
    append(kind="school.day_cycle_set", school=by.school_id, at=at, payload=payload)
    return row


@act
def add_day_off(*, day: date, name: str, by: Person, at: datetime | None = None) -> DayOff:
    """A day without school. Added again under another name, it has that name. Refused: access.not-yours."""
    allow(by, "set the timetable")
    lock_school(by.school_id)
    at = act_moment(by.school_id, at)
    shown = entered_name(name, _("The name of the day off"))[:80]
    row, _created = DayOff.objects.update_or_create(school_id=by.school_id, day=day, defaults={"name": shown})
    payload = {"day": day, "name_of_day": shown, "by": by.as_record()}
    append(kind="school.day_off_added", school=by.school_id, at=at, payload=payload)
    return row


@act
def remove_day_off(*, day_off: DayOff, by: Person, at: datetime | None = None) -> None:
    """There is school on that day. Removed twice is once. Refused: access.not-yours."""
    allow(by, "set the timetable")
    lock_school(by.school_id)
    at = act_moment(by.school_id, at)
    removed, _models = DayOff.objects.filter(school=by.school_id, pk=day_off.pk).delete()
    if removed:
        payload = {"day": day_off.day, "name_of_day": day_off.name, "by": by.as_record()}
        append(kind="school.day_off_removed", school=by.school_id, at=at, payload=payload)


def _row(section: Section, asked: NewTime) -> MeetingTime:
    return MeetingTime(
        section=section,
        begins=asked.begins,
        ends=asked.ends,
        weekdays=sorted(set(asked.weekdays)),
        cycle_days=sorted(set(asked.cycle_days)),
    )


def _must_work(section: Section, rows: Sequence[MeetingTime]) -> None:
    """Refuse the first fault by the rules of the timetable, with the number of the row where it is one row's."""
    school = section.school
    calendar, cycle = calendar_of(school), cycle_of(school)
    for number, row in enumerate(rows, 1):
        alone = Timetable(school.time_zone, calendar, (meeting_fact(row, section),), cycle)
        if wrong := faults(alone):
            raise Refused(
                "timetable.fault", _("Time {number}: {sentence}", number=number, sentence=wrong[0].sentence), 422
            )
    together = Timetable(school.time_zone, calendar, tuple(meeting_fact(row, section) for row in rows), cycle)
    if wrong := faults(together):
        raise Refused("timetable.fault", wrong[0].sentence, 422)


def _check_cycle(by: Person, names: Sequence[str], place: int) -> None:
    if len(names) > MOST_CYCLE_DAYS:
        raise Refused("cycle.too-many", _("A cycle has up to {number} days.", number=MOST_CYCLE_DAYS), 422)
    if len(names) == 1:
        raise Refused("cycle.too-few", _("A cycle has two days or more, such as A, B."), 422)
    if len(set(names)) != len(names):
        raise Refused("cycle.same-name", _("Two days of the cycle have the same name. Give each its own."), 422)
    if names and not 0 <= place < len(names):
        raise Refused("cycle.no-place", _("Choose which day of the cycle that day is."), 422)
    used = MeetingTime.objects.filter(section__school=by.school_id).values_list("section__name", "cycle_days")
    beyond = sorted({section for section, days in used if any(day >= len(names) for day in days)})
    if beyond:
        raise Refused(
            "cycle.in-use", _("{classes} meets on a day that this cycle does not have.", classes=", ".join(beyond)), 422
        )


def _named(section: Section) -> dict[str, Any]:
    return {"id": section.pk, "name": section.name}


def _time_record(row: MeetingTime) -> dict[str, Any]:
    return {
        "begins": f"{row.begins:%H:%M}",
        "ends": f"{row.ends:%H:%M}",
        "weekdays": row.weekdays,
        "cycle_days": row.cycle_days,
    }
