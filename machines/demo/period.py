"""A period in progress in the demo shop: open, some machines running, one being checked, two students waiting."""

from datetime import datetime, timedelta
from itertools import islice
from uuid import uuid4

from machines.clearance.out_of_use import out_of_use
from machines.clearance.queries import standings_for_section
from machines.floor.acts.runs import assign, end_run, start
from machines.floor.acts.settings import FloorWishes, set_floor
from machines.floor.acts.shops import open_shop
from machines.floor.acts.waiting import join_waiting
from machines.floor.checks import check_lines
from machines.floor.facts import ShopStatus
from machines.floor.queries import keeps_runs, open_runs, open_shop_of
from machines.floor.rules.closing import STARTER_LINES
from machines.models import Machine
from shopsafe.logbook.queries import last_moment
from shopsafe.school.models import Person, School, Section, Shop
from shopsafe.school.timetable.queries import class_now

MINUTE = timedelta(minutes=1)
BEGAN = 12 * MINUTE  # before the demo is opened
TAKES = 8 * MINUTE  # from opening the shop to the last one on a waiting list
RUNNING = 3
WAITING = 2


def period_in_progress(school: School, at: datetime) -> None:
    """Open the demo shop for the class that meets now, or for its first class, unless a teacher confirmed being there a
    few minutes ago, or someone recorded something so lately that the period would reach into the future."""
    sections = list(Section.objects.filter(school=school).select_related("shop", "school", "term").order_by("pk"))
    if not sections:
        return
    now = class_now(sections, at)
    section = next((section for section in sections if now and section.pk == now.section), sections[0])
    shop, teacher, last = section.shop, section.teachers.order_by("pk")[0], last_moment(school.pk)
    opened = open_shop_of(shop.pk, last)
    if opened is not None and opened.state(at).status != ShopStatus.PRESENCE_OVER:
        return
    clock = max(at - BEGAN, last or at - BEGAN) + MINUTE / 60
    if clock + TAKES > at:
        return
    clock = _begin(shop, section, teacher, clock)
    _work(section, teacher, clock)


def _begin(shop: Shop, section: Section, teacher: Person, at: datetime) -> datetime:
    """The moment after the shop was opened. What was left of another day ends first."""
    if not keeps_runs(shop.pk):
        wishes = FloorWishes(True, 15, STARTER_LINES, "window side", "door")
        set_floor(shop=shop, wishes=wishes, by=teacher, tap=uuid4(), at=at)
    for run in open_runs(shop.pk):
        end_run(run=run, by=teacher, tap=uuid4(), at=at)
    open_shop(shop=shop, section=section, by=teacher, tap=uuid4(), at=at + MINUTE)
    return at + 2 * MINUTE


def _work(section: Section, teacher: Person, at: datetime) -> None:
    """Some machines run, the next one is being checked, and the first one has a waiting list."""
    places = _places(section, at)
    for number, (machine, student) in enumerate(islice(places, RUNNING + 1)):
        moment = at + number * MINUTE
        run = assign(machine=machine, student=student, by=teacher, tap=uuid4(), at=moment)
        if number < RUNNING:
            start(run=run, checked=check_lines(machine.kind), by=student, tap=uuid4(), at=moment + MINUTE / 2)
    if not places:
        return
    first, later = places[0][0], at + (RUNNING + 2) * MINUTE
    at_machines = {student.pk for _, student in places[: RUNNING + 1]}
    cleared = [student for student in _cleared(section, first, at) if student.pk not in at_machines]
    for student in cleared[:WAITING]:
        join_waiting(machine=first, student=student, by=student, tap=uuid4(), at=later)


def _places(section: Section, at: datetime) -> list[tuple[Machine, Person]]:
    """A cleared student for each machine that is in service, no student twice."""
    matrix, taken, places = standings_for_section(section, at), set[int](), []
    off = out_of_use([machine.pk for machine in matrix.machines], at)
    for machine in matrix.machines:
        able = (student for student, answer in matrix.column(machine) if answer.cleared and student.pk not in taken)
        student = None if machine.pk in off else next(able, None)
        if student is not None:
            taken.add(student.pk)
            places.append((machine, student))
    return places


def _cleared(section: Section, machine: Machine, at: datetime) -> list[Person]:
    return [student for student, answer in standings_for_section(section, at).column(machine) if answer.cleared]
