"""Holds in the rule of clearance: what stops a student, for how long, and who lifts it."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from machines.clearance.facts import (
    MachineRequirements,
    NextActor,
    Standing,
    StudentRecord,
)
from machines.clearance.rules.evaluation import evaluate
from shopsafe.school.calendar import end_of_day
from tests.rules.clearance.saws import (
    BAND_SAW,
    CLEARED,
    HOLD,
    NOON,
    READY,
    SECOND,
    ZONE,
)


def codes(evidence: StudentRecord, at: datetime = NOON, asked: MachineRequirements = BAND_SAW) -> list[str]:
    return [reason.code for reason in evaluate(asked, evidence, at).reasons]


def standing(evidence: StudentRecord, at: datetime = NOON, asked: MachineRequirements = BAND_SAW) -> Standing:
    return evaluate(asked, evidence, at).standing


@pytest.mark.parametrize("machines", [None, frozenset({20}), frozenset({19, 20})])
def test_a_hold_beats_everything_from_its_second_until_it_is_lifted(machines: frozenset[int] | None):
    hold = replace(HOLD, machines=machines, lifted_at=NOON + timedelta(hours=1))
    held = replace(CLEARED, holds=(hold,))
    assert standing(held, NOON - SECOND) is Standing.CLEARED
    assert standing(held, NOON) is Standing.ON_HOLD
    assert standing(held, NOON + timedelta(hours=1) - SECOND) is Standing.ON_HOLD
    assert standing(held, NOON + timedelta(hours=1)) is Standing.CLEARED


def test_a_hold_for_some_days_ends_by_itself():
    held = replace(CLEARED, holds=(replace(HOLD, until=end_of_day(date(2026, 10, 14), ZONE)),))
    assert standing(held, datetime(2026, 10, 15, 4, 59, 59, tzinfo=UTC)) is Standing.ON_HOLD
    assert standing(held, datetime(2026, 10, 15, 5, 0, 0, tzinfo=UTC)) is Standing.CLEARED


def test_a_hold_on_another_machine_changes_nothing_here():
    assert evaluate(BAND_SAW, replace(CLEARED, holds=(replace(HOLD, machines=frozenset({21})),)), NOON) == evaluate(
        BAND_SAW, CLEARED, NOON
    )


def test_the_student_reads_kind_words_and_the_teacher_why():
    (reason,) = evaluate(BAND_SAW, replace(CLEARED, holds=(HOLD,)), NOON).reasons
    assert reason.sentence == "Your teacher has paused this one. Talk to Ms Ferrant."
    assert reason.detail == "Pushed a classmate. A talk."
    assert (reason.who, reason.link, reason.about) == (NextActor.TEACHER, "hold", "5")


@pytest.mark.parametrize(
    ("changes", "who", "says", "staff", "link"),
    [
        ({"way": "rules"}, NextActor.STUDENT, "paused this one. Learn its rules again. Then talk to",
         "The student learns its rules again first.", "hold-rules"),
        ({"way": "quiz"}, NextActor.STUDENT, "paused this one. Take its quiz again. Then talk to",
         "The student takes its quiz again first.", "hold-quiz"),
        ({"way": "rules", "done": True}, NextActor.TEACHER, "You have done your part. Talk to Ms Ferrant.",
         "The student's part is done. Talk, then lift it.", "hold"),
        ({"way": "office"}, NextActor.OFFICE, "Paused for now. The office decides.", "The office decides.", "hold"),
        ({"way": "date", "last_day": "October 14, 2026"}, NextActor.TEACHER, "paused this one until October 14, 2026.",
         "It ends by itself after October 14, 2026.", "hold"),
    ],
)  # fmt: skip
def test_a_hold_says_who_acts_next_and_how(changes: dict[str, Any], who: NextActor, says: str, staff: str, link: str):
    (reason,) = evaluate(BAND_SAW, replace(CLEARED, holds=(replace(HOLD, **changes),)), NOON).reasons
    assert (reason.who, reason.link, reason.about) == (who, link, "5")
    assert says in reason.sentence
    assert reason.for_staff == f"On hold, placed by Ms Ferrant. {staff}"


def test_holds_are_listed_first_with_the_earliest_on_top():
    later, sooner = replace(HOLD, by="B"), replace(HOLD, placed_at=NOON - SECOND, by="A")
    answer = evaluate(BAND_SAW, replace(READY, holds=(later, sooner)), NOON)
    assert [reason.code for reason in answer.reasons] == ["hold", "hold", "demonstration.missing"]
    assert "A" in answer.reasons[0].sentence
