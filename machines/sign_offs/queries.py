"""One machine as a teacher stands before it: who is ready to show, who may use it, what was done there."""

from dataclasses import dataclass
from datetime import datetime

from machines.clearance.facts import ClearanceResult, Standing
from machines.clearance.out_of_use import OutOfUse, out_of_use
from machines.clearance.queries import matrix
from machines.clearance.records import sign_offs_for, tag_outs_for, undoable
from machines.clearance.rules.evaluation import may_be_signed_off
from machines.models import Machine, SignOff, TagOut
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Person, Section
from shopsafe.school.naming.name_labels import full_names_of, short_names_of
from shopsafe.school.people.classes import enrolled, running_sections

LATEST = 12


@dataclass(frozen=True)
class AtMachine:
    """`ready` holds those who may be signed off, and those just signed off by the asker: lists never shrink under a
    finger. `cleared` are those who may use it, in reading order."""

    machine: Machine
    sections: list[Section]
    section: Section | None
    ready: list[Person]
    cleared: list[Person]
    just_signed: dict[int, SignOff]  # student → sign-off that can still be undone
    out: OutOfUse | None
    held: list[Person]  # on hold here
    answers: dict[int, ClearanceResult]  # student → what is so for them here
    called: dict[int, str]  # short names, told apart for staff: a classmate's number is none of a student's business
    full: dict[int, str]


def at_machine(person: Person, machine: Machine, at: datetime, section: int | None = None) -> AtMachine:
    """What is so at a machine for the running classes in the asker's sight, or for one of them."""
    day = local_day(at, machine.school.time_zone)
    sections = [running for running in running_sections(person, day) if running.shop_id == machine.shop_id]
    chosen = next((running for running in sections if running.pk == section), None)
    in_class = enrolled(sections, at)
    everybody = {student for people in in_class.values() for student in people}
    listed = in_class[chosen.pk] if chosen else everybody
    students = sorted(listed, key=lambda student: (student.sort_key, student.pk))
    clearances = matrix(students, [machine], machine.school, at)
    column = clearances.column(machine) if clearances.machines else []  # a machine that has left the shop
    signed = {sign_off.student_id: sign_off for sign_off in undoable(person, machine, at)} if person.is_teacher else {}
    return AtMachine(
        machine=machine,
        sections=sections,
        section=chosen,
        ready=[student for student, answer in column if may_be_signed_off(answer) or student.pk in signed],
        cleared=[student for student, answer in column if answer.cleared],
        just_signed=signed,
        out=out_of_use([machine.pk], at).get(machine.pk),
        held=[student for student, answer in column if answer.standing is Standing.ON_HOLD],
        answers={student.pk: answer for student, answer in column},
        called={student.pk: student.short_name for student in everybody}
        if person.is_student
        else short_names_of(everybody),
        full=full_names_of(everybody),
    )


def history_of(person: Person, machine: Machine) -> tuple[list[SignOff], list[TagOut]]:
    """The latest sign-offs and tag-outs at a machine in the asker's sight, the latest first."""
    signed = sign_offs_for(person).filter(machine=machine).order_by("-at", "-pk")
    outs = tag_outs_for(person).filter(machine=machine).order_by("-at", "-pk")
    return list(signed[:LATEST]), list(outs[:LATEST])
