"""Machines of a shop for tests, and students in every state, all invented."""

import uuid
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

import factory

from machines.models import Machine, MachineKind, Prerequisite, Requirements, SignOff
from quizzes.banks.editions.texts import frozen
from quizzes.models import Acceptance, Attempt, Bank, Edition
from shopsafe.school.models import Person, StudentDocument
from tests.cast import Cast
from tests.factories.banks import bank_text
from tests.factories.kept import kept
from tests.factories.people import SchoolFactory, ShopFactory, TeacherFactory

SUMMER = datetime(2026, 8, 3, 15, 0, tzinfo=UTC)  # before anyone came
NOON = datetime(2026, 10, 12, 17, 0, tzinfo=UTC)  # October 12, 2026, 12:00 PM at the school
POINTS = ["Sets the guard just above the wood", "Keeps both hands in sight", "Waits until the wheels stand still"]


FROZEN = frozen(bank_text(), {})


class BankFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Bank

    school = factory.SubFactory(SchoolFactory)
    code = factory.Sequence(lambda n: f"bank-{n}")
    subject = factory.Sequence(lambda n: f"Subject {n}")
    draft = "{}"
    draft_changed_at = SUMMER


class EditionFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Edition
        skip_postgeneration_save = True

    school = factory.SelfAttribute("bank.school")
    bank = factory.SubFactory(BankFactory)
    number = 1
    content = FROZEN[0]
    digest = FROZEN[1]
    published_at = SUMMER

    @factory.post_generation
    def accepted(self, create: bool, extracted: bool | None, **more: Any) -> None:
        """Accepted by a teacher of the school as it was published, unless `accepted=False`."""
        if create and extracted is not False:
            teacher = Person.objects.filter(school=self.school, role="teacher").order_by("pk").first()
            by = teacher or TeacherFactory(school=self.school)
            Acceptance.objects.create(school=self.school, edition=self, by=by, at=self.published_at)


class KindFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = MachineKind

    school = factory.SubFactory(SchoolFactory)
    code = factory.Sequence(lambda n: f"kind-{n}")
    name = factory.Sequence(lambda n: f"Kind {n}")
    bank = factory.SubFactory(BankFactory, school=factory.SelfAttribute("..school"))
    stop = "Push the stop paddle."
    pre_use = ["Blade whole", "Floor clear"]
    protect = ["eye", "hair"]
    demonstration = POINTS
    tag_out = ["Blade cracked"]
    stop_and_ask = ["the guard is loose"]


class MachineFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Machine

    school = factory.SelfAttribute("shop.school")
    shop = factory.SubFactory(ShopFactory)
    kind = factory.SubFactory(KindFactory, school=factory.SelfAttribute("..shop.school"))
    number = factory.Sequence(lambda n: n + 1)
    added_at = SUMMER


class RequirementsFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Requirements

    school = factory.SelfAttribute("kind.school")
    kind = factory.SubFactory(KindFactory)
    holds_from = SUMMER
    set_at = SUMMER


def asks(kind: MachineKind, *things: Any, **more: Any) -> Requirements:
    """From the start (or `holds_from`) a kind asks for these banks, kinds and machines."""
    row = RequirementsFactory(kind=kind, **more)
    for place, thing in enumerate(things):
        Prerequisite.objects.create(requirements=row, place=place, **{WHAT[type(thing)]: thing})
    return row


WHAT = {Bank: "bank", MachineKind: "kind", Machine: "machine"}


def passed(student: Person, bank: Bank, at: datetime = NOON - timedelta(days=5), **more: Any) -> Attempt:
    """A perfect attempt on the bank's latest edition."""
    edition = bank.editions.order_by("number").last() or EditionFactory(bank=bank)
    fields = {"asked": 10, "correct": 10, "started_at": at - timedelta(minutes=9), "handed_in_at": at, "seed": 1}
    fields |= {"school": student.school, "form": {"lines": []}, **more}
    return Attempt.objects.create(student=student, bank=bank, edition=edition, **fields)


def agreed(student: Person, year: int = 2026, at: datetime = NOON - timedelta(days=30)) -> StudentDocument:
    teacher = Person.objects.filter(school=student.school, role="teacher").order_by("pk")[0]
    return StudentDocument.objects.create(
        school=student.school, student=student, year=year, signed_on=at.date(), recorded_by=teacher, recorded_at=at
    )


def signed(
    student: Person, machine: Machine, by: Person, at: datetime = NOON - timedelta(days=3), **more: Any
) -> SignOff:
    """A sign-off as a fact, for what comes after it. The act itself is tested in tests/acts."""
    term = student.enrollments.order_by("pk")[0].section.term
    fields = {
        "school": machine.school,
        "kind": machine.kind,
        "term": term,
        "points": POINTS,
        "tap": uuid.uuid4(),
    } | more
    return SignOff.objects.create(student=student, machine=machine, by=by, at=at, **fields)


@dataclass
class Floor:
    """The cast's shop with two band saws and a drill press, which ask for general safety and their own quiz."""

    cast: Cast
    general: Bank
    saw_bank: Bank
    saw: MachineKind
    drill: MachineKind
    saw_2: Machine
    saw_3: Machine
    drill_1: Machine
    far_saw: Machine  # in the school next door

    def make_ready(self, student: Person, machine: Machine | None = None) -> None:
        """Everything but the demonstration."""
        agreed(student)
        passed(student, self.general)
        passed(student, (machine or self.saw_2).kind.bank)

    def make_cleared(self, student: Person, machine: Machine | None = None) -> SignOff:
        self.make_ready(student, machine)
        return signed(student, machine or self.saw_2, self.cast.teacher)


@kept
def make_floor(cast: Cast) -> Floor:
    general = BankFactory(school=cast.school, code="general-shop-safety", subject="General shop safety")
    saw_bank = BankFactory(school=cast.school, code="band-saw", subject="Band saw")
    saw = KindFactory(school=cast.school, code="band-saw", name="Band saw", bank=saw_bank)
    drill = KindFactory(school=cast.school, code="drill-press", name="Drill press", bank__subject="Drill press")
    for bank in (general, saw_bank, drill.bank):
        EditionFactory(bank=bank)
    asks(saw, general, saw_bank)
    asks(drill, general, drill.bank)
    drill_1, saw_2, saw_3 = (
        MachineFactory(shop=cast.shop, kind=kind, number=n) for kind, n in ((drill, 1), (saw, 2), (saw, 3))
    )
    far_shop = cast.stranger_section.shop
    far_saw = MachineFactory(shop=far_shop, kind=KindFactory(school=far_shop.school, name="Band saw"), number=2)
    return Floor(cast, general, saw_bank, saw, drill, saw_2, saw_3, drill_1, far_saw)
