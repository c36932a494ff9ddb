"""What is known of many students straight from rows is what the rule makes of their facts, one by one."""

import random
import uuid
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from machines.clearance.evidence import evidence_of
from machines.clearance.facts import HoldFact
from machines.clearance.known_rows import records_at
from machines.clearance.loading import SchoolRequirements, asks_at
from machines.clearance.rules.evaluation import briefs, briefs_by, standings, standings_by
from machines.clearance.rules.known import NO_PROOFS, as_known
from machines.models import Hold
from quizzes.models import Acceptance
from shopsafe.school.models import Person, Term
from tests.factories.machines import NOON, EditionFactory, Floor, agreed, asks, passed, signed
from tests.factories.people import EnrollmentFactory
from tests.rules.clearance.saws import asked_days

DAY = timedelta(days=1)
TERMS: list[dict[str, Any]] = [
    {},
    {"ends_with": "year"},
    {"ends_with": "never", "demonstration": "kind"},
    {"refresh_days": 12},
    {"unused_days": 9, "demonstration": "kind"},
]


def some_day(dice: random.Random) -> datetime:
    return NOON - dice.randrange(40) * DAY - timedelta(minutes=dice.randrange(600))


def write(make: Callable[..., object], *args: Any, **fields: Any) -> None:
    """One row, unless the database refuses it: the dice know no constraint."""
    with suppress(IntegrityError), transaction.atomic():
        make(*args, **fields)


def records(floor: Floor, students: list[Person], dice: random.Random) -> None:
    banks, machines = [floor.general, floor.saw_bank, floor.drill.bank], [floor.saw_2, floor.saw_3, floor.drill_1]
    terms = [*Term.objects.filter(school=floor.cast.school), None]
    teacher = floor.cast.teacher
    for student in students:
        write(agreed, student, dice.choice([2025, 2026, 2026]), some_day(dice))
        for _ in range(9):
            fields: dict[str, Any] = {"correct": dice.choice([9, 10, 10, 10]), "practice": dice.random() < 0.1}
            if dice.random() < 0.2:
                fields |= {"voided_at": some_day(dice) + 10 * DAY, "voided_by": teacher, "void_reason": "Helped"}
            if dice.random() < 0.2:
                fields["purpose"] = "refresher"
            write(passed, student, dice.choice(banks), some_day(dice), **fields)
        for _ in range(4):
            gone = some_day(dice) + 10 * DAY
            ending = dice.choice(
                [{}, {}, {"undone_at": gone, "undone_by": teacher},
                 {"withdrawn_at": gone, "withdrawn_by": teacher, "withdrawn_reason": "Wrong name"}]
            )  # fmt: skip
            write(signed, student, dice.choice(machines), teacher, some_day(dice), term=dice.choice(terms), **ending)
        if dice.random() < 0.4:
            hold_some(floor, student, dice)


def hold_some(floor: Floor, student: Person, dice: random.Random) -> None:
    ending = dice.choice([{"lifts": "talk"}, {"lifts": "date", "last_day": NOON.date()}])
    hold = Hold.objects.create(
        school=student.school,
        student=student,
        everywhere=dice.random() < 0.5,
        reason="dress",
        placed_by=floor.cast.teacher,
        placed_at=some_day(dice),
        tap=uuid.uuid4(),
        **ending,
    )
    if not hold.everywhere:
        hold.machines.set(dice.sample([floor.saw_2, floor.saw_3, floor.drill_1], 2))


def without_words(hold: HoldFact) -> HoldFact:
    return HoldFact(hold.placed_at, hold.machines, until=hold.until, ref=hold.ref)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("terms", TERMS, ids=str)
def test_known_from_rows_is_known_from_facts(floor: Floor, terms: dict[str, Any], seed: int) -> None:
    dice = random.Random(f"{seed} {terms}")
    school = floor.cast.school
    Term.objects.create(school=school, name="Summer", first_day=date(2026, 6, 1), last_day=date(2026, 10, 9))
    students = [e.student for e in EnrollmentFactory.create_batch(4, section=floor.cast.section)]
    records(floor, students, dice)
    ends = dice.choice([{"earlier_passes_count": False}, {"earlier_passes_until": NOON + 20 * DAY}])
    EditionFactory(bank=floor.saw_bank, number=2, published_at=NOON - 8 * DAY, **ends)
    records(floor, students, dice)  # some at the new edition
    Acceptance.objects.filter(edition__bank=floor.drill.bank).update(
        taken_back_at=NOON - 2 * DAY, taken_back_by=floor.cast.teacher, taken_back_reason="Not ours"
    )
    asks(floor.saw, floor.general, floor.saw_bank, **terms)
    asks(floor.drill, floor.saw, floor.drill.bank)
    pks = [student.pk for student in students]
    for at in (NOON - 15 * DAY, NOON - 3 * DAY, NOON, NOON + 30 * DAY, NOON + 400 * DAY):
        requirements = asks_at(school.pk, at)
        compare(requirements, pks, school, at)


def compare(requirements: SchoolRequirements, pks: list[int], school: Any, at: datetime) -> None:
    asked = list(requirements.as_facts().values())
    from_facts = evidence_of(pks, school, at, counted=requirements.counted)
    for pk, record in records_at(pks, school, requirements, at).items():
        known = as_known(from_facts[pk], at)
        assert briefs_by(asked, record) == briefs(asked, from_facts[pk], at)
        assert standings_by(asked, record) == standings(asked, from_facts[pk], at)
        assert list(record.holds) == [without_words(hold) for hold in known.holds]
        assert set(record.outdated) == set(known.outdated)
        assert set(record.begun) == set(known.begun)
        assert (record.passed, record.documents) == (known.passed, known.documents)
        if requirements.count_days:
            full = replace(known, proofs=NO_PROOFS)
            assert (record.proved, record.signed_on) == (full.proved, full.signed_on)
            assert (record.used_on, record.used_kind) == (full.used_on, full.used_kind)
        if requirements.count_kinds:
            assert record.signed_kind.keys() == known.signed_kind.keys()


def test_moments_that_no_one_asked_for_let_no_one_in(floor: Floor) -> None:
    """Requirements that count days, judged by records loaded without: run out, never cleared."""
    student = floor.cast.student
    floor.make_cleared(student)
    plain = asks_at(floor.cast.school.pk, NOON)
    assert not plain.count_days
    record = records_at([student.pk], floor.cast.school, plain, NOON)[student.pk]
    (saw,) = [each for each in plain.as_facts().values() if each.machine == floor.saw_2.pk]
    assert standings_by([saw], record)[saw.machine] == "cleared"
    for other in (
        replace(saw, ends_with="year"),
        replace(saw, amounts=asked_days(refresh=99)),
        replace(saw, amounts=asked_days(unused=99)),
    ):
        assert standings_by([other], record)[saw.machine] == "expired"
