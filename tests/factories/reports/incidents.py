"""Incidents for tests: begun by the act, so that they are as a teacher would begin them."""

from datetime import datetime
from io import BytesIO
from typing import Any
from uuid import uuid4

from PIL import Image

from machines.incidents.acts.follow_ups import add_follow_up
from machines.incidents.acts.reports import open_incident
from machines.incidents.facts import Informed, OwnPart, ReportText
from machines.incidents.report import Report
from machines.models import FollowUp, Incident
from shopsafe.school.models import Person
from tests.factories.machines import NOON, Floor

WHOLE = ReportText(
    doing="working on it",
    words="A short offcut jumped and hit the left thumb. The saw was stopped.",
    informed=(Informed("office", "12:05"), Informed("nurse")),
)
THUMB = OwnPart("to the nurse", "Left thumb, cut", ("pressed and bandaged",))


def hurt_at_saw(floor: Floor, **changes: Any) -> Report:
    """The student's thumb at band saw 2, with nothing left to fill in."""
    student = floor.cast.student
    fields: dict[str, Any] = {
        "sort": "incident",
        "happened_at": NOON,
        "machine": floor.saw_2,
        "concerned": [student],
        "text": WHOLE,
        "own": {student.pk: THUMB},
    }
    return Report(**fields | changes)


def begun(floor: Floor, *, at: datetime = NOON, by: Any = None, **changes: Any) -> Incident:
    report = hurt_at_saw(floor, **{"happened_at": at} | changes)
    return open_incident(shop=floor.cast.shop, report=report, by=by or floor.cast.teacher, tap=uuid4(), at=at)


def photo_of(color: str = "red") -> bytes:
    """A JPEG that says where it was taken, and with what."""
    picture, exif = Image.new("RGB", (40, 30), color), Image.Exif()
    exif[0x010F] = "Some camera"
    exif.get_ifd(0x8825)[1] = "N"
    file = BytesIO()
    picture.save(file, "JPEG", exif=exif)
    return file.getvalue()


def follow_up_of(incident: Incident, by: Person, words: str = "A longer push stick") -> FollowUp:
    return add_follow_up(incident=incident, words=words, by=by, tap=uuid4())
