"""When the bell ends the class for which a shop was opened, if the timetable says so."""

from collections.abc import Iterable
from datetime import datetime

from machines.models import ShopOpening
from shopsafe.school.calendar import local_day
from shopsafe.school.models import School
from shopsafe.school.timetable.queries import timetable_of
from shopsafe.school.timetable.rules.meetings import meetings_on


def bells_of(openings: Iterable[ShopOpening], school: School) -> dict[int, datetime]:
    """Opening → the end of the first meeting of its class that ends after it was opened, that day. One query where no
    class has a meeting time, four with; the classes come with their term."""
    openings = [opening for opening in openings if opening.section is not None]
    if not openings:
        return {}
    timetable = timetable_of(school, [opening.section for opening in openings if opening.section is not None])
    bells = {}
    for opening in openings:
        meetings = meetings_on(timetable, local_day(opening.opened_at, school.time_zone))
        ends = (
            meeting.ends_at
            for meeting in meetings
            if meeting.section == opening.section_id and meeting.ends_at > opening.opened_at
        )
        if (bell := next(ends, None)) is not None:
            bells[opening.pk] = bell
    return bells
