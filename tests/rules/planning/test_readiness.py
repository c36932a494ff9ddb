"""Which students a demonstration can be planned for, by what clearance answers."""

from machines.clearance.facts import (
    ClearanceResult,
    ClearedFirst,
    GapCode,
    MachineRequirements,
    NextActor,
    Reason,
    Standing,
)
from machines.planning.facts import Readiness
from machines.planning.rules.readiness import readiness_of, why_not_ready

STUDENT, SCROLL_SAW, BAND_SAW, FAR_SAW = 1, 10, 20, 30
SCROLL = MachineRequirements(machine=SCROLL_SAW, kind=1, name="scroll saw 1")
FAR = MachineRequirements(machine=FAR_SAW, kind=3, name="scroll saw 9")
OWN = {SCROLL_SAW: SCROLL_SAW, BAND_SAW: BAND_SAW}


def band_saw(*first: MachineRequirements) -> MachineRequirements:
    asked = (ClearedFirst("scroll saw", first),) if first else ()
    return MachineRequirements(machine=BAND_SAW, kind=2, name="band saw 2", first=asked)


def missing(*codes: GapCode) -> ClearanceResult:
    reasons = tuple(Reason(code, NextActor.TEACHER, f"{code} is missing.") for code in codes)
    return ClearanceResult(Standing.TRAINING if codes else Standing.CLEARED, reasons)


def planned(band: MachineRequirements, scroll_answer: ClearanceResult, band_answer: ClearanceResult) -> list[Readiness]:
    answers = {(STUDENT, SCROLL_SAW): scroll_answer, (STUDENT, BAND_SAW): band_answer}
    return readiness_of([STUDENT], {SCROLL_SAW: SCROLL, BAND_SAW: band}, answers, OWN)


def test_a_student_who_needs_only_the_demonstration_is_ready_now() -> None:
    demonstration = missing(GapCode.DEMONSTRATION)
    assert planned(band_saw(), demonstration, demonstration) == [
        Readiness(STUDENT, SCROLL_SAW),
        Readiness(STUDENT, BAND_SAW),
    ]


def test_a_machine_that_asks_for_another_one_comes_after_it() -> None:
    answer = missing(GapCode.OTHER_MACHINE, GapCode.DEMONSTRATION)
    rows = planned(band_saw(SCROLL), missing(GapCode.DEMONSTRATION), answer)
    assert rows[1] == Readiness(STUDENT, BAND_SAW, ((SCROLL_SAW,),))


def test_a_machine_asked_for_and_cleared_is_waited_for_no_more() -> None:
    rows = planned(band_saw(SCROLL), missing(), missing(GapCode.DEMONSTRATION))
    assert rows == [Readiness(STUDENT, BAND_SAW)]


def test_a_missing_quiz_or_a_hold_is_ended_by_no_demonstration() -> None:
    for code in (GapCode.QUIZ, GapCode.HOLD, GapCode.AGREEMENT):
        rows = planned(band_saw(), missing(), missing(code, GapCode.DEMONSTRATION))
        assert rows == []


def test_a_machine_of_another_shop_is_opened_by_no_demonstration_here() -> None:
    rows = planned(band_saw(FAR), missing(), missing(GapCode.OTHER_MACHINE, GapCode.DEMONSTRATION))
    assert rows == []


def test_why_not_is_the_first_reason_as_grown_ups_read_it() -> None:
    assert why_not_ready(missing(GapCode.QUIZ, GapCode.DEMONSTRATION)) == "bank.missing is missing."
    assert why_not_ready(missing()) == ""
