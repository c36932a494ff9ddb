"""A gap speaks to a student and of the student: staff are never asked to hand in, to show or to take anything."""

import re

import pytest

from machines.clearance.facts import ClearedFirst, Gap, MachineRequirements, QuizRequirement
from machines.clearance.rules.wording import reasons
from shopsafe.school.people.rules.documents import AGREEMENT
from tests.rules.clearance.saws import asked_days

SAW = QuizRequirement(2, "Band saw")
ALL = MachineRequirements(
    machine=20, kind=2, name="band saw 2", banks=(SAW,), own_bank=2, amounts=asked_days(refresh=30, unused=30)
)
BARE = MachineRequirements(machine=20, kind=2, name="band saw 2", amounts=asked_days(refresh=1, unused=1))
GAPS = [
    Gap("agreement.missing", AGREEMENT),
    Gap("bank.missing", SAW),
    Gap("bank.lapsed", SAW),
    Gap("bank.not-accepted", SAW),
    Gap("first.missing", ClearedFirst("a drill press", ())),
    Gap("demonstration.missing"),
    Gap("lapsed.term"),
    Gap("lapsed.year"),
    *(Gap(amount.kind.gap, amount) for amount in asked_days(refresh=30, unused=30)),
]
TO_A_STUDENT = re.compile(r"\b(you|your|hand|take|show|talk|learn)\b", re.IGNORECASE)


@pytest.mark.parametrize("asked", [ALL, BARE], ids=["all", "bare"])
@pytest.mark.parametrize("gap", GAPS, ids=[gap.code for gap in GAPS])
@pytest.mark.parametrize("alone", [True, False])
def test_staff_read_of_the_student(asked: MachineRequirements, gap: Gap, alone: bool) -> None:
    reason = reasons(asked, [gap] if alone else [gap, Gap("lapsed.year")])[0]
    assert not TO_A_STUDENT.search(reason.for_staff), reason.for_staff


def test_staff_sentence_says_not_cleared_yet() -> None:
    [reason] = reasons(ALL, [Gap("demonstration.missing")])
    assert reason.sentence.endswith("Next, show your teacher at the machine. You may not use it yet.")
    assert reason.staff.endswith("The student shows a teacher at the machine. Not cleared yet.")
