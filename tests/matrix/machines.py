"""Who gets in where: machines, registers, the floor, and the logbook."""

from typing import Any
from uuid import uuid4

from django.utils import timezone

from machines.holds.acts import place_hold
from machines.incidents.acts.photos import add_photo
from machines.reports.hazards.acts import Sighting, report_hazard
from machines.reports.inspections.acts.calendars import open_calendar
from machines.reports.inspections.calendar_address import calendar_key
from machines.sign_offs.acts.not_yet import record_not_yet
from machines.tag_outs.acts import tag_out
from tests.cast import Cast
from tests.factories.holds import held_to_learn
from tests.factories.logbook import note
from tests.factories.machines import POINTS, make_floor, signed
from tests.factories.prints import asked_for, hung, made
from tests.factories.reports.incidents import begun, follow_up_of, photo_of
from tests.factories.reports.photos import png
from tests.matrix import (
    CLASSMATE,
    COLLEAGUE,
    EVERYONE,
    OFFICE,
    SIGNED_IN,
    STRANGER_TEACHER,
    STUDENT,
    STUDENTS,
    SUBSTITUTE,
    TEACHER,
    TEACHERS,
    Door,
    Parts,
    get,
    post,
    section,
    student,
)


def entry(cast: Cast) -> dict[str, Any]:
    """About a student of the class: the teachers of the class and of its shop may read it, and the office."""
    return {"seq": note(cast.student).seq}


REACH = (TEACHER, COLLEAGUE, OFFICE)


def shop(cast: Cast) -> dict[str, Any]:
    return {"shop": cast.shop.pk}


def sheet(cast: Cast) -> dict[str, Any]:
    """A sheet of the Print page, of a shop with machines."""
    make_floor(cast)
    return {"shop": cast.shop.pk, "what": "wall-card"}


def monday(cast: Cast) -> dict[str, Any]:
    return sheet(cast) | {"what": "monday"}


def a_set(cast: Cast) -> dict[str, Any]:
    """One that the teacher asked for: it is for no one else."""
    return {"key": asked_for(cast).key}


def a_file(cast: Cast) -> dict[str, Any]:
    return {"key": made(asked_for(cast)).key}


def worded(cast: Cast) -> dict[str, Any]:
    return {"shop": cast.shop.pk, "sheet": "agreement"}


def hanging(cast: Cast) -> dict[str, Any]:
    """A card on the wall of the cast's shop."""
    return {"shop": cast.shop.pk, "code": hung(make_floor(cast)).code}


def code(cast: Cast) -> dict[str, Any]:
    return {"code": hanging(cast)["code"]}


SEE = (TEACHER, COLLEAGUE, SUBSTITUTE, OFFICE)


def cell(cast: Cast) -> dict[str, Any]:
    return {"section": cast.section.pk, "student": cast.student.pk, "machine": make_floor(cast).saw_2.pk}


def spreadsheet(cast: Cast) -> dict[str, Any]:
    return {"section": cast.section.pk, "form": "csv"}


def row(cast: Cast) -> dict[str, Any]:
    return {"section": cast.section.pk, "student": cast.student.pk}


def machine(cast: Cast) -> dict[str, Any]:
    return {"machine": make_floor(cast).saw_2.pk}


def kind(cast: Cast) -> dict[str, Any]:
    return {"kind": make_floor(cast).saw.pk}


def machine_of_kind(cast: Cast) -> dict[str, Any]:
    floor = make_floor(cast)
    return {"kind": floor.saw.pk, "machine": floor.saw_2.pk}


def demonstration(cast: Cast) -> dict[str, Any]:
    return {"machine": make_floor(cast).saw_2.pk, "student": cast.student.pk}


def tried(cast: Cast) -> dict[str, Any]:
    """A try that the teacher recorded, of one point."""
    asked = {"again": [POINTS[0]], "not_shown": [], "note": "", "tap": uuid4()}
    row = record_not_yet(student=cast.student, machine=make_floor(cast).saw_2, by=cast.teacher, **asked)
    return {"not_yet": row.pk}


def signed_off(cast: Cast) -> dict[str, Any]:
    return {"sign_off": signed(cast.student, make_floor(cast).saw_2, cast.teacher).pk}


def held(cast: Cast) -> dict[str, Any]:
    at = timezone.now()
    hold = place_hold(
        student=cast.student, machines=None, reason="dress", lifts="talk", by=cast.teacher, tap=uuid4(), at=at
    )
    return {"hold": hold.pk}


def to_learn(cast: Cast) -> dict[str, Any]:
    """A hold that the student can do something about."""
    return {"hold": held_to_learn(cast).pk}


def rule_to_learn(cast: Cast) -> dict[str, Any]:
    return to_learn(cast) | {"number": 1}


def out(cast: Cast) -> dict[str, Any]:
    saw, at = make_floor(cast).saw_2, timezone.now()
    return {"tag_out": tag_out(machine=saw, reason="Blade cracked", by=cast.teacher, tap=uuid4(), at=at).pk}


def reported(cast: Cast) -> dict[str, Any]:
    """By the student, with a photo."""
    saw = make_floor(cast).saw_2
    seen = Sighting("guard", photo=png())
    return {"report": report_hazard(shop=saw.shop, machine=saw, seen=seen, by=cast.student, tap=uuid4()).pk}


def weekly(cast: Cast) -> dict[str, Any]:
    """The weekly starter list of a machine."""
    return machine(cast) | {"interval": "weekly"}


def sheet_of(cast: Cast) -> dict[str, Any]:
    """The weekly lists of the cast's shop, which has machines."""
    make_floor(cast)
    return {"shop": cast.shop.pk, "interval": "weekly"}


def own_calendar(cast: Cast) -> dict[str, Any]:
    return {"calendar": open_calendar(shop=cast.shop, by=cast.teacher, at=timezone.now()).pk}


def calendar_address(cast: Cast) -> dict[str, Any]:
    row = open_calendar(shop=cast.shop, by=cast.teacher, at=timezone.now())
    return {"calendar": row.pk, "key": calendar_key(row)}


def written_up(cast: Cast) -> dict[str, Any]:
    """A report about a student of the class."""
    return {"incident": begun(make_floor(cast), at=timezone.now()).pk}


def photographed(cast: Cast) -> dict[str, Any]:
    incident = begun(make_floor(cast), at=timezone.now())
    photo = add_photo(incident=incident, sent=photo_of(), by=cast.teacher, at=timezone.now())
    return {"incident": incident.pk, "photo": photo.key}


def to_change(cast: Cast) -> dict[str, Any]:
    incident = begun(make_floor(cast), at=timezone.now())
    return {"follow_up": follow_up_of(incident, cast.teacher).pk}


def both(*opens_for: str, of: Parts) -> list[Door]:
    """A page with a form: looked at, and sent with nothing filled in."""
    return [get(*opens_for, of=of), post(*opens_for, of=of, gets=(409, 422))]


ROUTES: dict[str, Door | list[Door]] = {
    "first-run": get(*TEACHERS, OFFICE),
    "first-run-begin": [get(*EVERYONE, gets=(302,)), post(*EVERYONE, gets=(302,))],
    "first-run-shop": [get(*TEACHERS, gets=(302,)), post(*TEACHERS, gets=(422,))],
    "first-run-rules": get(*TEACHERS, gets=(302,)),
    "bench": get(*STUDENTS),
    "today": get(*TEACHERS, SUBSTITUTE),
    "today-needs": get(TEACHER, COLLEAGUE, STRANGER_TEACHER),
    "registers": get(*TEACHERS, SUBSTITUTE, OFFICE),
    "plan": get(TEACHER, COLLEAGUE, of=section),
    "rotation": get(TEACHER, COLLEAGUE, of=section),
    "demonstration-minutes": [
        get(TEACHER, COLLEAGUE, of=section),
        post(TEACHER, COLLEAGUE, of=section, gets=(302, 422)),
    ],
    "register": get(*SEE, of=section),
    "register-file": get(TEACHER, COLLEAGUE, OFFICE, of=spreadsheet),
    "school-standings": get(OFFICE),
    "student-standings": get(*SEE, of=row),
    "reasons": get(*SEE, of=cell),
    "hold-place": both(TEACHER, COLLEAGUE, of=row),
    "hold-horseplay": post(TEACHER, COLLEAGUE, of=row),
    "hold-lift": both(TEACHER, COLLEAGUE, of=held),
    "own-hold": get(STUDENT, of=to_learn),
    "own-hold-rule": [get(STUDENT, of=rule_to_learn), post(STUDENT, of=rule_to_learn, gets=(409,))],
    "kinds": get(*TEACHERS),
    "kind-requirements": both(TEACHER, COLLEAGUE, of=kind),
    "machine-requirements": both(TEACHER, COLLEAGUE, of=machine_of_kind),
    "machines": get(*SIGNED_IN),
    "kind-change": both(TEACHER, COLLEAGUE, of=lambda cast: {"kind": make_floor(cast).saw.pk}),
    "kind-add": [get(*TEACHERS), post(*TEACHERS, gets=(422,))],
    "machines-add": both(*REACH, of=shop),
    "class-machines": [get(TEACHER, OFFICE, of=section), post(TEACHER, OFFICE, of=section, gets=(422,))],
    "machine-change": both(*REACH, of=machine),
    "machine-retire": [get(*REACH, of=machine), post(*REACH, of=machine, gets=(302,))],
    "machine": get(STUDENT, CLASSMATE, *SEE, of=machine),
    "sign-off-group": [get(TEACHER, COLLEAGUE, of=machine), post(TEACHER, COLLEAGUE, of=machine, gets=(422,))],
    "sign-off": both(TEACHER, COLLEAGUE, of=demonstration),
    "tag-out": both(TEACHER, COLLEAGUE, of=machine),
    "reports": get(*SIGNED_IN),
    "report-place": get(*SIGNED_IN),
    "report-machine": [
        get(STUDENT, CLASSMATE, *SEE, of=machine),
        post(STUDENT, CLASSMATE, *SEE, of=machine, gets=(200,)),
    ],
    "report-shop": [get(STUDENT, CLASSMATE, *SEE, of=shop), post(STUDENT, CLASSMATE, *SEE, of=shop, gets=(200,))],
    "report": get(STUDENT, *SEE, of=reported),
    "report-photo": get(STUDENT, *SEE, of=reported),
    "report-clear": post(TEACHER, COLLEAGUE, of=reported, gets=(422,)),
    "inspections": get(*TEACHERS, OFFICE),
    "inspections-start": post(TEACHER, COLLEAGUE, of=shop, gets=(302,)),
    "inspection-sheet-file": get(*REACH, of=sheet_of),
    "tag-file": get(TEACHER, COLLEAGUE, of=out),
    "inspect": both(TEACHER, COLLEAGUE, of=weekly),
    "inspection-list": [get(TEACHER, COLLEAGUE, of=kind), post(TEACHER, COLLEAGUE, of=kind, gets=(302, 409))],
    "machine-history": get(*REACH, of=machine),
    "machine-service": post(TEACHER, COLLEAGUE, of=machine, gets=(422,)),
    "calendar-open": post(*REACH, of=shop, gets=(302,)),
    "calendar-end": post(TEACHER, of=own_calendar, gets=(302,)),
    "calendar": get(*EVERYONE, of=calendar_address),
    "not-yet": [get(TEACHER, COLLEAGUE, of=demonstration), post(TEACHER, COLLEAGUE, of=demonstration, gets=(200,))],
    "not-yet-undo": post(TEACHER, COLLEAGUE, of=tried),
    "sign-off-undo": post(TEACHER, COLLEAGUE, of=signed_off),
    "sign-off-withdraw": both(TEACHER, COLLEAGUE, of=signed_off),
    "return-to-service": both(TEACHER, COLLEAGUE, of=out),
    "incidents": get(*TEACHERS, OFFICE),
    "incident-settings": [get(OFFICE), post(OFFICE, gets=(422,))],
    "incident-open": both(*REACH, of=shop),
    "incident": get(*REACH, of=written_up),
    "incident-report": both(*REACH, of=written_up),
    "incident-photo-add": post(*REACH, of=written_up, gets=(422,)),
    "incident-photo": get(*REACH, of=photographed),
    "incident-file": post(*REACH, of=written_up, gets=(422,)),
    "follow-up-add": post(*REACH, of=written_up, gets=(422,)),
    "follow-up-done": post(*REACH, of=to_change, gets=(302,)),
    "prints": get(*TEACHERS, OFFICE),
    "print-make": post(TEACHER, COLLEAGUE, OFFICE, of=sheet, gets=(422,)),
    "print-picture": get(TEACHER, COLLEAGUE, OFFICE, of=sheet),
    "print-set-ask": post(TEACHER, COLLEAGUE, OFFICE, of=monday, gets=(422,)),
    "print-set": get(TEACHER, of=a_set),
    "print-set-stop": post(TEACHER, of=a_set),
    "print-set-again": post(TEACHER, of=a_set),
    "print-set-file": get(TEACHER, of=a_file),
    "sheet-words": both(TEACHER, COLLEAGUE, OFFICE, of=worded),
    "substitute-sheet": get(*SEE, of=section),
    "print-take-down": post(TEACHER, COLLEAGUE, OFFICE, of=hanging),
    "print-check": get(*EVERYONE, of=code),
    "logbook": get(*TEACHERS, OFFICE),
    "logbook-verify": post(*TEACHERS, OFFICE),
    "logbook-checkpoint": post(OFFICE),
    "logbook-checkpoint-file": post(*TEACHERS, OFFICE),
    "logbook-entry": get(*REACH, of=entry),
    "office-needs": get(OFFICE),
    "student-remove": [get(TEACHER, OFFICE, of=row), post(TEACHER, OFFICE, of=row, gets=(302,))],
    "retention": [get(OFFICE), post(OFFICE, gets=(302,))],
    "student-erase": both(OFFICE, of=student),
    "student-keep": both(OFFICE, of=student),
    "student-let-go": post(OFFICE, of=student, gets=(409,)),
    "evidence-checker": get(*EVERYONE),
    "evidence": [
        get(TEACHER, COLLEAGUE, OFFICE, of=student),
        post(TEACHER, COLLEAGUE, OFFICE, of=student, gets=(422,)),
    ],
}
