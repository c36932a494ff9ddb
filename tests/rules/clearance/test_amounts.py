"""A requirement that is a number, of a sort that no shop asks for yet: minutes of practice with a teacher."""

from dataclasses import replace
from datetime import datetime

import pytest

from machines.clearance.amounts import AMOUNTS, AmountKind, AmountRecord, AskedAmount
from machines.clearance.facts import (
    Ending,
    Ground,
    MachineRequirements,
    MachineUse,
    NextActor,
    Reason,
    Standing,
    StudentRecord,
)
from machines.clearance.rules.evaluation import briefs, evaluate, may_be_signed_off
from machines.clearance.rules.next_steps import next_step
from shopsafe.school.calendar import FOREVER, NEVER
from tests.rules.clearance.saws import BAND_SAW, CLEARED, DAY, NOON, READY, SECOND, ZONE


def practiced(minutes: int, record: AmountRecord) -> datetime:
    return FOREVER if record.tally and record.tally.amount >= minutes else NEVER


def practiced_of_late(minutes: int, record: AmountRecord) -> datetime:
    return record.tally.last + DAY if record.tally and record.tally.amount >= minutes else NEVER


PRACTICE = AmountKind(
    column="practice_minutes",
    label="Minutes of practice",
    asks=lambda minutes: f"{minutes} minutes of practice",
    until=practiced,
    missing=lambda minutes: f"Practice with your teacher for {minutes} minutes.",
    missing_for_staff=lambda minutes: f"The student practices for {minutes} minutes.",
    met=lambda minutes: f"{minutes} minutes of practice.",
    counts="practice",
    keeps="practice again.",
)
ASKED = replace(BAND_SAW, amounts=(AskedAmount(PRACTICE, 30),))
MISSING = Reason(
    "amount.missing",
    NextActor.TEACHER,
    "Practice with your teacher for 30 minutes.",
    about="practice_minutes",
    staff="The student practices for 30 minutes.",
)


def with_minutes(record: StudentRecord, *minutes: int, machine: int = 20, sort: str = "practice") -> StudentRecord:
    return replace(record, uses=tuple(MachineUse(machine, 2, NOON, sort, each) for each in minutes))


@pytest.mark.parametrize(
    "record",
    [
        with_minutes(CLEARED),
        with_minutes(CLEARED, 10, 19),
        with_minutes(CLEARED, 30, machine=21),
        with_minutes(CLEARED, 30, sort="run"),
    ],
)
def test_amount_that_is_not_met_keeps_a_student_off(record: StudentRecord) -> None:
    answer = evaluate(ASKED, record, NOON)
    assert (answer.standing, answer.reasons, may_be_signed_off(answer)) == (Standing.TRAINING, (MISSING,), False)
    assert briefs([ASKED], record, NOON)[20].standing is Standing.TRAINING


def test_amount_comes_before_the_demonstration() -> None:
    assert [reason.code for reason in evaluate(ASKED, READY, NOON).reasons] == [
        "amount.missing",
        "demonstration.missing",
    ]


def test_records_add_up_to_the_amount() -> None:
    answer = evaluate(ASKED, with_minutes(CLEARED, 10, 20), NOON)
    assert answer.cleared
    assert Ground("amount", "30 minutes of practice.") in answer.grounds
    assert answer.ending == evaluate(BAND_SAW, CLEARED, NOON).ending


def test_records_at_the_kind_count_where_one_sign_off_does() -> None:
    on_kind: MachineRequirements = replace(ASKED, demonstration="kind")
    assert evaluate(on_kind, with_minutes(CLEARED, 30, machine=21), NOON).cleared


def test_record_of_later_is_not_counted() -> None:
    assert not evaluate(ASKED, with_minutes(CLEARED, 30), NOON - SECOND).cleared


def test_amount_that_runs_out_ends_the_clearance() -> None:
    kind = replace(PRACTICE, until=practiced_of_late)
    asked = replace(BAND_SAW, amounts=(AskedAmount(kind, 30),))
    answer = evaluate(asked, with_minutes(CLEARED, 30), NOON)
    assert answer.ending == Ending(NOON + DAY, "amount", amount="practice_minutes")
    assert evaluate(asked, with_minutes(CLEARED, 30), NOON + DAY).reasons == (MISSING,)


def test_words_say_what_keeps_the_clearance(monkeypatch: pytest.MonkeyPatch) -> None:
    kind = replace(PRACTICE, until=practiced_of_late)
    monkeypatch.setitem(AMOUNTS, kind.column, kind)
    answer = evaluate(replace(BAND_SAW, amounts=(AskedAmount(kind, 30),)), with_minutes(CLEARED, 30), NOON)
    step = next_step(answer, None, {}, NOON, ZONE, "band saw")
    assert step.sentence == "Your band saw clearance expires on October 13, 2026: practice again."
    assert (step.label, step.refresher) == ("", False)
