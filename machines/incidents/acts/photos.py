"""A photo is added to a report: drawn again, so that the place and the device it was taken with are gone."""

from datetime import datetime

from machines.incidents.queries import must_read
from machines.models import Incident, IncidentPhoto, PhotoFile
from quizzes.banks.pictures.files import NoPicture, photo
from shopsafe.act import act
from shopsafe.language.messages import _
from shopsafe.logbook.append import append
from shopsafe.school.access import allow
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused

MOST_PHOTOS = 12


def add_photo(*, incident: Incident, sent: bytes, by: Person, at: datetime | None = None) -> IncidentPhoto:
    """Add the photo in `sent`. The same photo sent again is the same row.

    Refused: access.not-yours, photo.no-picture (422), photo.too-many.
    """
    try:
        _, facts, content = photo(sent)  # before the lock: it takes a moment
    except NoPicture as wrong:
        raise Refused("photo.no-picture", str(wrong), 422) from wrong
    return _add(incident, facts.digest, content, by, at)


@act
def _add(incident: Incident, digest: str, content: bytes, by: Person, at: datetime | None) -> IncidentPhoto:
    allow(by, "record an incident")
    must_read(by, incident)
    lock(incident)
    at = act_moment(incident.school_id, at)
    if same_photo := IncidentPhoto.objects.filter(incident=incident, digest=digest).first():
        return same_photo
    if IncidentPhoto.objects.filter(incident=incident).count() >= MOST_PHOTOS:
        raise Refused("photo.too-many", _("A report holds {most} photos.", most=MOST_PHOTOS))
    row = IncidentPhoto.objects.create(school_id=incident.school_id, incident=incident, digest=digest, by=by, at=at)
    PhotoFile.objects.create(photo=row, content=content)
    payload = {
        "by": by.as_record(),
        "shop": {"id": incident.shop_id, "name": incident.shop.name},
        "incident": incident.pk,
        "photo": row.pk,
        "digest": digest,
    }
    row.entry = append(kind="incident.photo_added", school=row.school_id, at=at, payload=payload)
    row.save(update_fields=["entry"])
    return row
