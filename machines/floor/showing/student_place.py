"""The floor as one student sees it now: is this machine mine, may I ask for it, who is before me; and where I am."""

from dataclasses import dataclass
from enum import StrEnum

from django.db.models import Case, Value, When

from machines.floor.queries import keeps_runs
from machines.floor.showing.page import floor_card, waiting_in
from machines.models import Machine, Run, WaitingStudent
from shopsafe.school.models import Person


@dataclass(frozen=True)
class StudentPlace:
    """run      the student's own open run at this machine
    waits    the student's place on its list; `number` counts from 1
    waiting  how many wait; `user` the short name of the one who is at it
    """

    is_open: bool
    sentence: str
    run: Run | None
    waits: WaitingStudent | None
    number: int
    waiting: int
    user: str
    may_ask: bool


def student_place(student: Person, machine: Machine, *, cleared: bool, tagged_out: bool) -> StudentPlace | None:
    """None in a shop that keeps no runs: it says nothing about who is where. At a machine that is out of use a student
    can do nothing but end the own run."""
    if not keeps_runs(machine.shop_id):
        return None
    card = floor_card(machine.shop, student)
    run = Run.objects.filter(machine=machine, ended_at=None).select_related("student").first()
    mine = run if run is not None and run.student_id == student.pk else None
    if tagged_out and mine is None:
        return None
    list_now = waiting_in(card).get(machine.pk, [])
    own = next(((number, row) for number, row in enumerate(list_now, 1) if row.student_id == student.pk), (0, None))
    return StudentPlace(
        is_open=card.state.is_open,
        sentence=card.state.sentence,
        run=mine,
        waits=own[1],
        number=own[0],
        waiting=len(list_now),
        user=run.student.short_name if run is not None and mine is None else "",
        may_ask=cleared and mine is None,
    )


class AtMachine(StrEnum):
    """What a student has to do with a machine now, the most pressing first."""

    RUNS = "runs"
    CHECKS = "checks"
    WAITS = "waits"


def machines_now_of(student: Person) -> dict[int, AtMachine]:
    """Machine → what the student has to do with it now. One query."""
    state = Case(When(started_at=None, then=Value(AtMachine.CHECKS)), default=Value(AtMachine.RUNS))
    runs = Run.objects.filter(student=student, ended_at=None).values_list("machine", state).order_by()
    waits = WaitingStudent.objects.filter(student=student, left_at=None, opening__closed_at=None)
    asked = waits.values_list("machine", Value(AtMachine.WAITS)).order_by().union(runs, all=True).order_by()
    rows = [(machine, AtMachine(word)) for machine, word in asked]
    places: dict[int, AtMachine] = {}
    for machine, what in sorted(rows, key=lambda row: list(AtMachine).index(row[1])):
        places.setdefault(machine, what)
    return places
