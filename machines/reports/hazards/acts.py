"""A hazard is reported, and a teacher clears the report. A tag-out of the machine ends its reports as well."""

from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from typing import Any
from uuid import UUID

from machines.clearance.rules.wording import clock_text
from machines.models import HazardReport, Machine, ReportPhoto
from machines.reports.facts import HazardKind
from machines.reports.rules.hazards import choices, effect_of
from quizzes.banks.pictures.files import NoPicture
from quizzes.banks.pictures.files import photo as drawn_again
from shopsafe.act import act
from shopsafe.language.messages import _
from shopsafe.language.stored import as_stored
from shopsafe.logbook.append import append
from shopsafe.school.access import allow, may, shops_for
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock
from shopsafe.school.models import Person, Shop
from shopsafe.school.refusals import Refused
from shopsafe.school.taps import is_repeated


@dataclass(frozen=True)
class Sighting:
    """What a person reports. `photo`: the file as it was sent, or empty. `keep_off`: a teacher of the shop keeps the
    machine off, whatever was seen."""

    kind: str
    words: str = ""
    photo: bytes = b""
    keep_off: bool = False


def report_hazard(
    *, shop: Shop, machine: Machine | None, seen: Sighting, by: Person, tap: UUID, at: datetime | None = None
) -> HazardReport:
    """`by` saw a hazard at `machine`, or elsewhere in `shop`. What could hurt with the very next use keeps the machine
    off at once, and so does whatever a teacher of the shop wants kept off. A `tap` sent again gives the same report.

    Refused: access.not-yours, report.not-by-teacher, report.unknown-kind, report.photo-unreadable, report.retired,
    report.tap-used.
    """
    # A picture is decoded before the transaction begins: no one else's act waits for it.
    return _report_hazard(shop, machine, seen, _photo(seen.photo), by, tap, at)


@act
def _report_hazard(
    shop: Shop, machine: Machine | None, seen: Sighting, photo: bytes, by: Person, tap: UUID, at: datetime | None
) -> HazardReport:
    _may_report(by, shop)
    if seen.keep_off and not may(by, "look at a report", shop=shop):
        raise Refused("report.not-by-teacher", _("Only a teacher of this shop keeps a machine off by choice."), 403)
    # A student who was entered by mistake may be removed at this moment: then there is no one to report.
    lock(machine or shop, *([by] if by.is_student else []))
    at = act_moment(shop.school_id, at)
    words, digest = seen.words.strip()[:300], sha256(photo).hexdigest() if photo else ""
    asked = {"shop": shop.pk, "machine": machine.pk if machine else None, "seen": seen.kind, "words": words}
    asked |= {"photo": digest} | ({"keep_off": True} if seen.keep_off else {})
    if is_repeated(tap, "report", by=by, at=at, asked=asked):
        return HazardReport.objects.get(tap=tap)
    if seen.kind not in choices(names_machine=machine is not None):
        raise Refused("report.unknown-kind", _("Pick what you saw from the list."), 422)
    if machine is not None and machine.retired_at is not None:
        raise Refused("report.retired", _("{machine} has left the shop.", machine=machine))
    effect = effect_of(HazardKind(seen.kind), names_machine=machine is not None, keep_off=seen.keep_off)
    row = HazardReport.objects.create(
        school_id=shop.school_id, shop=shop, machine=machine, kind=seen.kind, words=words, effect=effect.value, by=by,
        at=at, tap=tap,
    )  # fmt: skip
    if photo:
        ReportPhoto.objects.create(school_id=shop.school_id, report=row, digest=digest, content=photo)
    more = {"seen": as_stored(row.get_kind_display), "seen_code": row.kind, "words": words, "effect": row.effect}
    row.entry = _record("report.made", row, at, **_reporter(row), **more, **({"photo": digest} if photo else {}))
    row.save(update_fields=["entry"])
    return row


@act
def clear_report(*, report: HazardReport, finding: str, by: Person, at: datetime | None = None) -> HazardReport:
    """A teacher of the shop looked: it is safe to use, and `finding` says what the teacher found.

    Refused: access.not-yours, report.ended, report.no-words.
    """
    allow(by, "look at a report", shop=report.shop)
    # The entry is about the student who reported it, too: entries about a student come in the order of their moments.
    lock(report.machine or report.shop, *([report.by] if report.by.is_student else []))
    at = act_moment(report.school_id, at)
    row = HazardReport.objects.select_related("machine__kind", "shop__school", "by", "ended_by").get(pk=report.pk)
    if row.ended_at is not None and row.ended_by is not None:
        when = clock_text(row.ended_at, row.shop.school.time_zone)
        raise Refused("report.ended", _how_it_ended(row, row.ended_by.name, when))
    if not finding.strip():
        raise Refused("report.no-words", _("Say what you found and why it is safe to use."), 422)
    row.ended_at, row.ended_by, row.finding = at, by, finding.strip()[:300]
    row.save(update_fields=["ended_at", "ended_by", "finding"])
    student = {"student": row.by.as_record()} if row.by.is_student else {}
    seen = as_stored(row.get_kind_display)
    _record("report.cleared", row, at, by=by.as_record(), found=row.finding, seen=seen, **student)
    return row


def _may_report(by: Person, shop: Shop) -> None:
    """Anyone signed in, about a shop they belong to."""
    allow(by, "report a hazard", shop=shop)
    if not shops_for(by).filter(pk=shop.pk).exists():
        raise Refused("access.not-yours", _("This shop is not one of yours. Report the hazard to its teacher."), 403)


def _photo(content: bytes) -> bytes:
    """Made again, without the place and the time at which it was taken."""
    if not content:
        return b""
    try:
        return drawn_again(content)[2]
    except NoPicture as error:
        raise Refused("report.photo-unreadable", str(error), 422) from error


def _reporter(row: HazardReport) -> dict[str, Any]:
    """A report of a student goes with the student's record, so its entry is about the student."""
    return {"student" if row.by.is_student else "by": row.by.as_record()}


def _record(kind: str, row: HazardReport, at: datetime, **more: Any) -> Any:
    place = {"shop": {"id": row.shop_id, "name": row.shop.name}}
    if row.machine is not None:
        place["machine"] = row.machine.as_record()
    return append(kind=kind, school=row.school_id, at=at, payload={"report": row.pk, **place, **more})


def _how_it_ended(row: HazardReport, person: str, when: str) -> str:
    if row.tag_out_id:
        return _("{person} tagged the machine out on {when}.", person=person, when=when)
    finding = row.finding.rstrip(".")
    return _("{person} cleared this report ({finding}) on {when}.", person=person, finding=finding, when=when)
