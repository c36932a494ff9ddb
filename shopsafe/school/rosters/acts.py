"""Students come into a class: a whole list, or one by hand."""

import hashlib
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import IntegrityError

from shopsafe.act import act
from shopsafe.language.messages import _, marked
from shopsafe.logbook.append import append_all
from shopsafe.school.access import allow
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock_school
from shopsafe.school.models import Enrollment, Person, RosterImport, Section
from shopsafe.school.refusals import Refused
from shopsafe.school.rosters.queries import known_people
from shopsafe.school.rosters.rules import (
    NO_NUMBER,
    PreviewRow,
    RosterPreview,
    RosterTable,
    RowCorrection,
    RowList,
    one_student,
    preview,
)

RACED = marked("Someone else changed this school's people at the same moment. Check the list again.")


def import_roster(
    *,
    section: Section,
    sheet: RosterTable,
    key: UUID,
    by: Person | None,
    at: datetime | None = None,
    mends: Mapping[int, RowCorrection] | None = None,
    columns: Sequence[str] | None = None,
) -> RosterImport:
    """Everyone in `sheet` who is ready comes into the class; the rest stays out. Sending `key` again changes nothing.

    `by` is None at the server's console. Nothing is recorded where no one was ready.
    Refused: access.not-yours, roster.key-used, roster.raced, and every code of NotARoster.
    """
    digest = _digest(sheet, mends or {}, columns)
    try:
        return _import(section, sheet, mends, columns, RosterImport(key=key, digest=digest, by=by), at)
    except IntegrityError as raced:
        raise Refused("roster.raced", _(RACED)) from raced


@act
def _import(
    section: Section,
    sheet: RosterTable,
    mends: Mapping[int, RowCorrection] | None,
    columns: Sequence[str] | None,
    done: RosterImport,
    at: datetime | None,
) -> RosterImport:
    if done.by:
        allow(done.by, "change a class", section=section)
    lock_school(section.school_id)  # a number must not be given out twice
    done.at = act_moment(section.school_id, at)
    earlier = RosterImport.objects.filter(key=done.key).first()
    if earlier:
        return _again(earlier, section, done.digest)
    seen = preview(sheet, known_people(section, done.by), mends=mends, columns=columns)
    _fill(done, section, seen)
    if not seen.ready:
        return done
    done.save(force_insert=True)
    whole = ("roster.imported", _summary(done, sheet, section))
    _bring_in(seen.ready, section, by=done.by, at=done.at, before=[whole])
    return done


def add_student(
    *, section: Section, name: str, local_id: str, by: Person, at: datetime | None = None, accept: bool = False
) -> Person:
    """One student comes into the class. `accept` says: a student of their own, though without a number or like another.

    Refused: access.not-yours, student.no-number, student.number-taken, student.to-fix, student.already-here,
    roster.raced.
    """
    try:
        return _add(section, name, local_id, accept, by, at)
    except IntegrityError as raced:
        raise Refused("roster.raced", _(RACED)) from raced


@act
def _add(section: Section, name: str, local_id: str, accept: bool, by: Person, at: datetime | None) -> Person:
    allow(by, "change a class", section=section)
    lock_school(section.school_id)  # a number must not be given out twice
    at = act_moment(section.school_id, at)
    entry = one_student(name, local_id, known_people(section, by), accept=accept)
    if entry.where is RowList.TO_FIX:
        raise _to_fix(entry)
    if entry.where is RowList.ALREADY_HERE:
        raise Refused("student.already-here", _("{student} is in this class already.", student=entry.read.name))
    return _bring_in([entry], section, by=by, at=at)[0]


def _to_fix(entry: PreviewRow) -> Refused:
    if entry.other:
        same = _("If it is the same student, correct the name of {student} instead.", student=entry.other.name)
        return Refused("student.number-taken", f"{entry.reason} {same}", 422)
    if entry.reason == _(NO_NUMBER):
        no_number = _("There is no student number. Type it, or check the box below for a student who has none.")
        return Refused("student.no-number", no_number, 422)
    return Refused("student.to-fix", entry.reason, 422)


def _again(earlier: RosterImport, section: Section, digest: str) -> RosterImport:
    if (earlier.section_id, earlier.digest) != (section.pk, digest):
        raise Refused(
            "roster.key-used", _("This form was sent before with another list. Start again with a new one."), 422
        )
    return earlier


def _fill(done: RosterImport, section: Section, seen: RosterPreview) -> None:
    done.school_id, done.section = section.school_id, section
    done.added, done.already_here = len(seen.ready), len(seen.already_here)
    done.twice = sum(entry.twice for entry in seen.already_here)
    done.to_fix, done.skipped = len(seen.to_fix), len(seen.skipped)


def _digest(sheet: RosterTable, mends: Mapping[int, RowCorrection], columns: Sequence[str] | None) -> str:
    body = repr((sheet.rows, sorted(mends.items()), columns and tuple(columns)))
    return hashlib.sha256(body.encode("utf-8", "surrogatepass")).hexdigest()


def _summary(done: RosterImport, sheet: RosterTable, section: Section) -> dict[str, Any]:
    """Without names: each student who came in has an entry of their own, so that one can be erased alone."""
    counts = {where: getattr(done, where) for where in ("added", "already_here", "to_fix", "skipped")}
    return {**_who(done.by), "section": _section(section), "file": sheet.file, "digest": done.digest, **counts}


def _who(by: Person | None) -> dict[str, Any]:
    return {"by": by.as_record()} if by else {"at_console": True}


def _section(section: Section) -> dict[str, Any]:
    return {"id": section.pk, "name": section.name}


def _bring_in(
    entries: Sequence[PreviewRow],
    section: Section,
    *,
    by: Person | None,
    at: datetime,
    before: Sequence[tuple[str, dict[str, Any]]] = (),
) -> list[Person]:
    """The people, new or known to the school, enrolled from today at the school, and one entry in the logbook for each,
    after those of `before`.

    A list of a thousand takes as many statements as one of three: the school is held in the meantime.
    """
    known = Person.objects.in_bulk([entry.person for entry in entries if entry.person is not None])
    new = iter(Person.objects.enter_all([_new(entry, section) for entry in entries if entry.person is None]))
    students = [next(new) if entry.person is None else known[entry.person] for entry in entries]
    from_day = local_day(at, section.school.time_zone)
    Enrollment.objects.bulk_create(
        Enrollment(school_id=section.school_id, section=section, student=student, from_day=from_day)
        for student in students
    )
    about = [
        {
            **_who(by),
            "student": student.as_record(),
            "section": _section(section),
            "local_id": student.local_id,
            "new": entry.person is None,
            "row": entry.row,
            "from_day": from_day,
        }
        for entry, student in zip(entries, students, strict=True)
    ]
    enrolled = [("student.enrolled", payload) for payload in about]
    append_all(school=section.school_id, at=at, entries=[*before, *enrolled])
    return students


def _new(entry: PreviewRow, section: Section) -> Person:
    read = entry.read
    return Person(
        school=section.school,
        role=Person.Role.STUDENT,
        name=read.name,
        given_name=read.given,
        family_name=read.family,
        local_id=read.id,
    )
