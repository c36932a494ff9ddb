"""What the records said at the moment of an incident: loaded by the same rules that judge today, as of that moment.

Other rooms that know more about that moment (who ran the machine, its last inspection) add their lines here.
"""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from machines.clearance.queries import matrix
from machines.clearance.records import holds_in_force
from machines.clearance.rules.wording import clock_text, day
from machines.incidents.facts import FactLine, MachineThen, StudentThen, TagOutFact
from machines.incidents.known.floor import run_lines, shop_lines
from machines.incidents.known.reports import report_lines
from machines.incidents.rules.known_words import machine_lines, student_lines
from machines.models import Machine, SignOff, TagOut
from shopsafe.language.stored import stored_words
from shopsafe.logbook.rules.chain import utc_second
from shopsafe.logbook.rules.digests import value_digest
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Enrollment, Person, Shop
from shopsafe.school.naming.rules.ordering import people_in_order


@stored_words
def known_about_machine(machine: Machine | None, shop: Shop, at: datetime) -> dict[str, Any]:
    """What is on record about the machine and the shop at `at`, in words, without any student."""
    around = shop_lines(shop, machine, at)
    if machine is None:
        return as_known(at, around)
    zone = shop.school.time_zone
    rows = TagOut.objects.filter(machine=machine, at__lte=at).select_related("by", "returned_by").order_by("-at")
    stands = [row for row in rows if row.returned_at is None or row.returned_at > at]
    before = [row for row in rows if row not in stands]
    facts = MachineThen(
        name=str(machine),
        stands=_tag_out(stands[0], zone) if stands else None,
        before=tuple(_tag_out(row, zone) for row in before),
        more=report_lines(machine, at),
    )
    return as_known(at, (*around, *machine_lines(facts)))


@stored_words
def known_about_students(
    students: Sequence[Person], machine: Machine | None, shop: Shop, at: datetime
) -> dict[int, dict[str, Any]]:
    """Student → what is on record about them at `at`, in words: clearance with its reasons, sign-off, holds, class."""
    school = shop.school
    zone, today = school.time_zone, local_day(at, school.time_zone)
    clearances = matrix(list(students), [machine], school, at) if machine else None
    signed = _signed(students, machine, at, zone)
    holds = _holds(students, machine, today, at, zone)
    classes, runs = _classes(students, shop, today), run_lines(students, shop, at)
    known = {}
    for student in students:
        answer = clearances.answers.get((student.pk, machine.pk)) if clearances and machine else None
        facts = StudentThen(
            machine=machine.spoken if machine else "",
            status=answer.standing if answer else None,
            reasons=tuple(f"{reason.for_staff} {reason.detail}".strip() for reason in answer.reasons) if answer else (),
            grounds=tuple(_dated(ground.sentence, ground.at, zone) for ground in answer.grounds) if answer else (),
            signed=signed.get(student.pk, ""),
            holds=tuple(holds.get(student.pk, ())),
            classes=tuple(classes.get(student.pk, ())),
            more=runs[student.pk],
        )
        known[student.pk] = as_known(at, student_lines(facts))
    return known


def as_known(at: datetime, lines: Sequence[FactLine]) -> dict[str, Any]:
    """The facts as they are stored: the moment to the second, and each line."""
    return {"moment": utc_second(at), "lines": [{"label": line.label, "text": line.text} for line in lines]}


def digest_of(known: dict[str, Any]) -> str:
    return value_digest(known)


def _tag_out(row: TagOut, zone: str) -> TagOutFact:
    returned = f"{day(row.returned_at, zone)} by {row.returned_by.name}" if row.returned_at and row.returned_by else ""
    return TagOutFact(clock_text(row.at, zone), row.by.name, row.reason, returned, row.inspection)


def _dated(sentence: str, at: datetime | None, zone: str) -> str:
    return f"{sentence.rstrip('.')}, {day(at, zone)}." if at else sentence


def _signed(students: Sequence[Person], machine: Machine | None, at: datetime, zone: str) -> dict[int, str]:
    """Student → the latest sign-off on this machine that stood at `at`."""
    if machine is None:
        return {}
    rows = SignOff.objects.filter(student__in=students, machine=machine, at__lte=at).select_related("by")
    stood = [
        row
        for row in rows.order_by("at", "pk")
        if (row.undone_at is None or row.undone_at > at) and (row.withdrawn_at is None or row.withdrawn_at > at)
    ]
    return {
        row.student_id: f"Signed off by {row.by.name} on {clock_text(row.at, zone)}. "
        f"Points shown: {'; '.join(point.rstrip('.') for point in row.points)}."
        for row in stood
    }


def _holds(
    students: Sequence[Person], machine: Machine | None, today: Any, at: datetime, zone: str
) -> dict[int, list[str]]:
    """Student → the holds in force on this machine, or on any machine where there is none."""
    held: dict[int, list[str]] = {}
    for hold in holds_in_force([student.pk for student in students], today, at):
        on_it = hold.everywhere or machine is None or machine.pk in {row.pk for row in hold.machines.all()}
        if on_it:
            text = f"{hold.why} On {hold.on_what}, placed by {hold.placed_by.name} on {day(hold.placed_at, zone)}."
            held.setdefault(hold.student_id, []).append(text)
    return held


def _classes(students: Sequence[Person], shop: Shop, today: Any) -> dict[int, list[str]]:
    """Student → the classes of this shop that the student was in, and who taught them."""
    rows = Enrollment.objects.filter(student__in=students, section__shop=shop, from_day__lte=today)
    rows = rows.exclude(until_day__lt=today).select_related("section").prefetch_related("section__teachers")
    classes: dict[int, list[str]] = {}
    for row in rows.order_by("section__name", "pk"):
        teachers = ", ".join(person.name for person in people_in_order(row.section.teachers.all())) or "no teacher yet"
        classes.setdefault(row.student_id, []).append(f"{row.section.name}, taught by {teachers}")
    return classes
