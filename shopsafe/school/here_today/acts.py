"""Saving who is away today: one transaction with its logbook entry."""

from collections.abc import Collection
from datetime import datetime

from shopsafe.act import act
from shopsafe.language.messages import _
from shopsafe.logbook.append import append
from shopsafe.school.access import allow
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import act_moment
from shopsafe.school.here_today.queries import day_list
from shopsafe.school.locks import lock
from shopsafe.school.models import AwayStudent, HereToday, Person, Section
from shopsafe.school.refusals import Refused


@act
def save_here_today(
    *, section: Section, away: Collection[int], version: str, by: Person, at: datetime | None = None
) -> HereToday:
    """These students of the class are away today, all the others are here. The same list again changes nothing.

    `version` is that of the list which the form showed. Refused: access.not-yours (403), here-today.changed (409),
    here-today.unknown (422).
    """
    allow(by, "say who is here", shop=section.shop)
    lock(section)
    at = act_moment(section.school_id, at)
    current = day_list(section, at)
    if not set(away) <= {student.pk for student in current.students}:
        raise Refused("here-today.unknown", _("The class list has changed. Check it again, then save."), 422)
    if current.saved and current.away == set(away):
        return current.saved
    if current.version != version:
        raise Refused("here-today.changed", _changed(current.saved))
    saved, _created = HereToday.objects.update_or_create(
        section=section, day=local_day(at, section.school.time_zone), defaults={"at": at, "by": by}
    )
    saved.away.all().delete()
    absent = [student for student in current.students if student.pk in set(away)]
    AwayStudent.objects.bulk_create(AwayStudent(here_today=saved, student=student) for student in absent)
    payload = {
        "by": by.as_record(),
        "section": {"id": section.pk, "name": section.name},
        "day": saved.day.isoformat(),
        "away": len(absent),  # no names: this is no attendance register, and the list itself holds them
        "students": len(current.students),
    }
    append(kind="class.here_today", school=section.school_id, at=at, payload=payload)
    return saved


def _changed(saved: HereToday | None) -> str:
    if saved is None:
        return _("It is another day now. Check the list again, then save.")
    return _("{by} saved this list after you opened it. It is shown as saved. Change it, then save.", by=saved.by.name)
