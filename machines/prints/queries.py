"""What is posted on the walls of a person's shops, and what no longer matches."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import assert_never

from django.db.models import Q, QuerySet
from django.utils.text import capfirst

from machines.models import Machine, Print, PrintSet
from machines.prints.rules import posted
from machines.prints.rules.posted import ReprintCode
from machines.prints.sheets.handouts import has_card, pocket_card
from machines.prints.sheets.wall import ShopSnapshot, shop_snapshot
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.models import Person, Section, Shop
from shopsafe.school.naming.name_labels import full_names_of, short_names_of
from shopsafe.school.naming.rules.characters import unprintable
from shopsafe.school.naming.rules.ordering import in_order
from shopsafe.school.timetable.queries import class_now

CURRENT = {"replaced_at": None, "taken_down_at": None}


@dataclass(frozen=True)
class PostedPrint:
    """A print on the wall: what it is of, and why it should be printed again, in words."""

    printed: Print
    of: str
    scope: str
    changes: tuple[str, ...]
    grave: bool
    sections: tuple[int, ...] = ()
    makeable: bool = True  # its class and its machine are still there


def prints_for(person: Person) -> QuerySet[Print]:
    """The prints of the shops in the asker's reach."""
    return Print.objects.filter(shop__in=access.shops_for(person)).select_related("shop__school", "machine__kind")


def sets_for(person: Person) -> QuerySet[PrintSet]:
    """The sets of prints that the asker asked for: what is in one is for no one else."""
    rows = PrintSet.objects.filter(asked_by=person, shop__in=access.shops_for(person))
    return rows.select_related("shop__school", "section")


def print_of_code(code: str | None) -> Print | None:
    """The print under a code, for any reader: a code on a wall names a sheet and no person."""
    rows = Print.objects.select_related("shop__school", "machine__kind", "replaced_by")
    return rows.filter(code=code).first()


def hanging_in(snapshot: ShopSnapshot) -> list[PostedPrint]:
    """What is posted in a shop, the gravest first. Two queries beside what `snapshot` has loaded."""
    rows = Print.objects.filter(shop=snapshot.shop, **CURRENT).exclude(sheet=Print.SheetKind.POCKET_CARD)
    rows = rows.select_related("machine__kind").prefetch_related("sections")
    posted_prints = [_judge(row, snapshot) for row in rows.order_by("sheet", "machine__number", "pk")]
    return sorted(posted_prints, key=lambda posted_print: (not posted_print.grave, not posted_print.changes))


@dataclass(frozen=True)
class PrintRoom:
    """A shop's part of the Print page: what is posted there, and whose pocket cards should be printed again."""

    snapshot: ShopSnapshot
    hanging: list[PostedPrint]
    pockets: list[tuple[Section, int]]  # classes that have pocket cards, and how many are to be printed again
    to_take_back: list[tuple[str, Print]]  # students who may use no machine now, and the card that each still carries

    @property
    def unprintable(self) -> list[str]:
        """Names of this shop with a control character, from before such names were refused. Prints leave it out."""
        matrix = self.snapshot.matrix
        names = [
            *map(str, matrix.machines),
            *(s.name for s in self.snapshot.sections),
            *(s.name for s in matrix.students),
        ]
        return [name for name in names if unprintable(name)]

    @property
    def stale(self) -> list[PostedPrint]:
        return [posted_print for posted_print in self.hanging if posted_print.changes]


def room_of(snapshot: ShopSnapshot) -> PrintRoom:
    """Four queries beside what `snapshot` has loaded."""
    printed = pockets_of(snapshot)
    carriers = [student for student in snapshot.matrix.students if student.pk in printed]
    stale = [student for student in carriers if _changed(printed[student.pk], student, snapshot)]
    names = full_names_of(snapshot.matrix.students) if stale else {}
    again = {student.pk for student in stale if has_card(snapshot, student)}
    to_take_back = [(names[student.pk], printed[student.pk]) for student in stale if student.pk not in again]
    return PrintRoom(snapshot, hanging_in(snapshot), _by_class(again, snapshot), to_take_back)


def _by_class(students: set[int], snapshot: ShopSnapshot) -> list[tuple[Section, int]]:
    counts = ((section, len(students & snapshot.members_of([section]))) for section in snapshot.sections)
    return [(section, count) for section, count in counts if count]


def pockets_of(snapshot: ShopSnapshot) -> dict[int, Print]:
    """Student → the pocket card they carry for this shop."""
    cards = Print.objects.filter(shop=snapshot.shop, sheet=Print.SheetKind.POCKET_CARD, **CURRENT)
    return {row.student_id: row for row in cards if row.student_id}


def stale_pockets(snapshot: ShopSnapshot, students: Collection[Person]) -> set[int]:
    """Those of these students whose pocket card says something else than it should, or who should have a first one."""
    printed = pockets_of(snapshot)
    return {
        student.pk
        for student in students
        if (_changed(printed[student.pk], student, snapshot) if student.pk in printed else has_card(snapshot, student))
    }


def _changed(row: Print, student: Person, snapshot: ShopSnapshot) -> bool:
    """A machine that is out of use for some days does not ask for new cards for everyone: the page behind a card's
    code says so, and the machine bears its tag."""
    _, now = pocket_card(snapshot, student)
    reasons = posted.reprint_reasons(posted.from_data(row.shows), now, snapshot.today)
    return any(reason.code != ReprintCode.BARRED for reason in reasons)


def state_of(row: Print, at: datetime) -> PostedPrint:
    """One print, as the page behind its QR code tells it."""
    return _judge(row, shop_snapshot(row.shop, at))


def _judge(row: Print, snapshot: ShopSnapshot) -> PostedPrint:
    sections = list(row.sections.all())
    now = _now(row, sections, snapshot)
    if now is None:
        changes: tuple[str, ...] = (_("It can't be made any more: its class or its machine is gone"),)
        grave = True
    else:
        reasons = posted.reprint_reasons(posted.from_data(row.shows), now, snapshot.today)
        changes, grave = _said(reasons, snapshot), any(change.grave for change in reasons)
    keys = tuple(section.pk for section in sections)
    return PostedPrint(row, str(row.machine or ""), snapshot.scope(sections), changes, grave, keys, now is not None)


def _now(row: Print, sections: list[Section], snapshot: ShopSnapshot) -> posted.SheetContents | None:
    """What the same sheet would show now; None if it can't be made any more."""
    here = {section.pk for section in snapshot.sections}
    if any(section.pk not in here for section in sections):
        return None
    if row.sheet == Print.SheetKind.WALL_CHART:
        return snapshot.chart(sections[0])[1] if sections else None
    if row.sheet == Print.SheetKind.POCKET_CARD:
        return _pocket(row, snapshot)
    machine = next((candidate for candidate in snapshot.matrix.machines if candidate.pk == row.machine_id), None)
    return snapshot.card(machine, sections)[1] if machine else None


def _pocket(row: Print, snapshot: ShopSnapshot) -> posted.SheetContents | None:
    student = next((candidate for candidate in snapshot.matrix.students if candidate.pk == row.student_id), None)
    return pocket_card(snapshot, student)[1] if student else None


def _said(changes: tuple[posted.ReprintReason, ...], snapshot: ShopSnapshot) -> tuple[str, ...]:
    """One sentence part a change: "Jo L. no longer (drill press 1)"."""
    people = short_names_of(snapshot.matrix.students)
    machines = {machine.pk: machine.spoken for machine in snapshot.matrix.machines}
    return tuple(_change_said(change, people, machines) for change in changes)


def _change_said(change: posted.ReprintReason, people: Mapping[int, str], machines: Mapping[int, str]) -> str:
    student = people.get(change.student or 0) or _("Someone who left")
    machine = machines.get(change.machine or 0, "")
    match change.code:
        case ReprintCode.GONE if machine:
            return _("{student}: no longer on {machine}", student=student, machine=machine)
        case ReprintCode.GONE:
            return _("{student}: no longer", student=student)
        case ReprintCode.NEW if machine:
            return _("{student}: now cleared on {machine}", student=student, machine=machine)
        case ReprintCode.NEW:
            return _("{student}: now cleared", student=student)
        case ReprintCode.BARRED:
            return capfirst(_("{machine} is out of use", machine=machine or _("a machine")))
        case ReprintCode.BACK if change.machine:
            return capfirst(_("{machine} is in service again", machine=machine or _("a machine")))
        case ReprintCode.BACK:
            return _("The machine is in service again")
        case ReprintCode.OUT:
            return _("The machine is tagged out")
        case ReprintCode.OFF:
            return _("The machine is kept off until the teacher looks")
        case ReprintCode.OVER:
            return _("Its last day has passed")
        case ReprintCode.WORDS:
            return _("Its words have changed")
    assert_never(change.code)


def machine_by_pk_or_name(text: str) -> QuerySet[Machine]:
    """The machines in service that a command may mean: by key, or by name as on the machine ("Band saw 2")."""
    machines = Machine.objects.filter(retired_at=None).select_related("kind", "shop__school")
    if text.isascii() and text.isdigit() and len(text) < 19:
        return machines.filter(pk=int(text))
    name, _, number = text.strip().rpartition(" ")
    number_is = Q(number=int(number)) if number.isascii() and number.isdigit() and len(number) < 6 else Q(pk=None)
    return machines.filter(number_is).filter(Q(name__iexact=name) | Q(name="", kind__name__iexact=name))


def likely_class(snapshot: ShopSnapshot, person: Person) -> Section | None:
    """The class that the asker most likely prints for: of their own the class of the hour, as on Today, or the first;
    or else the first of the shop."""
    taught = set(person.sections.values_list("pk", flat=True)) if person.is_teacher else set()
    own = [section for section in snapshot.sections if section.pk in taught]
    now = class_now(own, snapshot.at) if len(own) > 1 else None
    return next(
        (section for section in own if now and section.pk == now.section), next(iter(own or snapshot.sections), None)
    )


def shops_to_print(person: Person) -> list[Shop]:
    return in_order(access.shops_for(person).select_related("school"))
