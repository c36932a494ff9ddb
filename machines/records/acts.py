"""The acts of erasing a student's record, and of removing a student who was entered by mistake: the person, everything
that is theirs, and what the logbook says of them."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from machines.records import erasure
from machines.records.erasure import ErasurePlan
from shopsafe.act import act
from shopsafe.database.backups import ErasedPerson, note_erasure
from shopsafe.language.messages import _, stored
from shopsafe.logbook.erase import erase
from shopsafe.logbook.rules import subjects
from shopsafe.school.access import allow, allow_with
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock_school, locked
from shopsafe.school.models import Person, Section
from shopsafe.school.naming.rules import names
from shopsafe.school.refusals import Refused
from shopsafe.school.signing_in.sessions.lifetime import end_sessions

SHORTEST_NAME = 3
AGAIN = stored("Erased before, and brought back by a backup.")
BY_RULE = stored("Kept as long as the school's years say.")
BY_MISTAKE = stored("Entered by mistake. Nothing was recorded.")


@dataclass(frozen=True)
class ErasureResult:
    """`entry` of the logbook says so; None where the logbook said nothing of the student."""

    entry: int | None
    going: ErasurePlan


@act
def erase_student(*, student: Person, reason: str, by: Person | None, at: datetime | None = None) -> ErasureResult:
    """Nothing of the student is left in any table. `by` is None at the server's console.

    Others keep what is on record about them; that something was written of someone, when and of what kind, stays in
    the logbook. What the disk still holds goes with `shopsafe.database.sweeping.sweep`. Refused: access.not-yours,
    erase.no-student, erase.no-reason, erase.reason-names, erase.enrolled, erase.kept, erase.injury.
    """
    if by is not None:
        allow_with(by, "erase a record", student)
    lock_school(student.school_id)
    at = act_moment(student.school_id, at)
    locked_student = locked(Person.objects.select_related("school")).filter(pk=student.pk).first()
    if locked_student is None or not locked_student.is_student:
        raise Refused("erase.no-student", _("There is no such student. The record may be erased already."))
    called = erasure.names_of(locked_student)
    _names_nobody(reason, [*called, locked_student.local_id])
    going = erasure.erasure_plan(locked_student, at)
    if going.stays:
        raise Refused(
            f"erase.{going.stays.code}",
            _("{student} can't be erased. {why}", student=locked_student.name, why=going.stays.sentence),
        )
    payload = {**_who(by), "reason": reason.strip()[:300], "person_key": locked_student.pk}
    return _erase(locked_student, going, payload, at)


@act
def remove_student(*, student: Person, section: Section, by: Person, at: datetime | None = None) -> ErasureResult:
    """A student of the class who was entered by mistake goes at once, also from today's lists, while nothing but the
    class is on record. The logbook says that an entry was erased, and not of whom.

    Refused: access.not-yours, class.left, remove.other-class, remove.recorded (409). Removed by someone else: 404.
    """
    allow(by, "change a class", section=section)
    lock_school(section.school_id, student)
    at = act_moment(section.school_id, at)
    if not section.enrollments.filter(student=student).exists():
        raise Refused("class.left", _("{student} is not in this class any more.", student=student.name))
    going = erasure.erasure_plan(student, at)
    if reason := erasure.removal_blocker(student, section):
        raise Refused(reason.code, reason.sentence)
    payload = {**_who(by), "reason": BY_MISTAKE, "person_key": student.pk}
    return _erase(student, going, payload, at)


def _erase(student: Person, going: ErasurePlan, payload: dict[str, Any], at: datetime) -> ErasureResult:
    called = erasure.names_of(student)
    erased_entry = erase(
        key=subjects.person(student.pk), names=called, school=student.school_id, at=at, payload=payload
    )
    if erased_entry:
        erased_person = erasure.erased_person_of(student.pk, student.school_id, going.entries[0])
        transaction.on_commit(lambda: note_erasure(erased_person))
    _take_away(student)
    return ErasureResult(erased_entry.seq if erased_entry else None, going)


@act
def erase_again(*, gone: ErasedPerson, at: datetime | None = None) -> bool:
    """Erases who came back with a backup that is older than the erasure; whether there was anyone.

    It was asked for and allowed then, so nothing is asked now.
    """
    lock_school(gone.school)
    at = act_moment(gone.school, at)
    students = locked(Person.objects.filter(school=gone.school, role=Person.Role.STUDENT))
    locked_student = students.filter(pk=gone.person).first()
    if locked_student is None or not erasure.was_erased_here(gone):
        return False
    payload = {"at_console": True, "reason": AGAIN, "person_key": locked_student.pk}
    called = erasure.names_of(locked_student)
    erase(key=subjects.person(locked_student.pk), names=called, school=locked_student.school_id, at=at, payload=payload)
    _take_away(locked_student)
    return True


def _who(by: Person | None) -> dict[str, Any]:
    return {"by": by.as_record()} if by else {"at_console": True}


def _names_nobody(reason: str, called: Sequence[str]) -> None:
    """The reason stays for good, so it must not carry the name on."""
    if not reason.strip():
        raise Refused("erase.no-reason", _("Say why the record is erased."), 422)
    if reason != BY_RULE and words_of(reason) & words_of(" ".join(called)):
        raise Refused("erase.reason-names", _("Say why without the student's name or number: the reason stays."), 422)


def words_of(text: str) -> set[str]:
    """The words that could be someone's name."""
    return {word for word in re.findall(r"\w+", names.plain(text)) if len(word) >= SHORTEST_NAME}


def _take_away(student: Person) -> None:
    erasure.photo_files_of(student).delete()
    for part in erasure.PARTS:
        for row in part.rows(student):
            row.delete()
    end_sessions(student)
    student.delete()
