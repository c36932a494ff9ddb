"""The office says how long records are kept, and keeps one longer."""

from datetime import datetime

from shopsafe.act import act
from shopsafe.language.messages import _
from shopsafe.logbook.append import append
from shopsafe.school.access import allow, allow_with
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock, lock_school
from shopsafe.school.models import Keeping, Person, School
from shopsafe.school.refusals import Refused

YEARS = range(1, 101)


@act
def set_retention(
    *, years: int | None, years_after_injury: int | None, by: Person, at: datetime | None = None
) -> School:
    """Years a record is kept after the student has left, and after an injury; None: nothing goes by itself.

    Refused: access.not-yours, retention.not-valid, retention.shorter-after-injury.
    """
    allow(by, "set up the school")
    if any(number is not None and number not in YEARS for number in (years, years_after_injury)):
        raise Refused("retention.not-valid", _("Give a number of years from 1 to 100, or leave it empty."), 422)
    if years and years_after_injury and years_after_injury < years:
        raise Refused("retention.shorter-after-injury", _("Keep a record at least as long after an injury."), 422)
    lock_school(by.school_id)
    at = act_moment(by.school_id, at)
    school = School.objects.get(pk=by.school_id)
    school.keep_years, school.keep_years_injury = years, years_after_injury
    school.save(update_fields=["keep_years", "keep_years_injury"])
    payload = {"by": by.as_record(), "years": years, "years_after_injury": years_after_injury}
    append(kind="retention.set", school=school.pk, at=at, payload=payload)
    return school


@act
def keep_record(*, student: Person, reason: str, by: Person, at: datetime | None = None) -> Keeping:
    """This student's record stays, whatever the rule says, until the office lets it go.

    Refused: access.not-yours, keeping.no-reason, keeping.kept-already.
    """
    allow_with(by, "erase a record", student)
    lock(student)
    at = act_moment(student.school_id, at)
    if not reason.strip():
        raise Refused("keeping.no-reason", _("Say why the record is kept."), 422)
    if Keeping.objects.filter(student=student, ended_at=None).exists():
        raise Refused("keeping.kept-already", _("The record of {student} is kept already.", student=student.name))
    kept = Keeping.objects.create(
        school_id=student.school_id, student=student, reason=reason.strip()[:300], by=by, at=at
    )
    _record("record.kept", kept, by, at)
    return kept


@act
def let_record_go(*, student: Person, by: Person, at: datetime | None = None) -> Keeping:
    """From now on the school's rule decides again. Refused: access.not-yours, keeping.not-kept."""
    allow_with(by, "erase a record", student)
    lock(student)
    at = act_moment(student.school_id, at)
    kept = Keeping.objects.filter(student=student, ended_at=None).first()
    if kept is None:
        raise Refused(
            "keeping.not-kept", _("The record of {student} is not kept beyond the rule.", student=student.name)
        )
    kept.ended_by, kept.ended_at = by, at
    kept.save(update_fields=["ended_by", "ended_at"])
    _record("record.let_go", kept, by, at)
    return kept


def _record(kind: str, kept: Keeping, by: Person, at: datetime) -> None:
    payload = {"by": by.as_record(), "student": kept.student.as_record(), "reason": kept.reason}
    append(kind=kind, school=kept.school_id, at=at, payload=payload)
