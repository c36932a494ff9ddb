"""One machine of a shop that keeps runs, as one student sees it now: is it mine, may I ask for it, who is before me."""

from dataclasses import dataclass

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
