"""What My machines says of one machine: one sentence and at most one button."""

from datetime import UTC, datetime, timedelta
from uuid import UUID

import pytest

from machines.clearance.facts import ClearanceResult, Ending, NextActor, Reason, Standing
from machines.clearance.rules.next_steps import (
    NextStep,
    after_first,
    agreement_first,
    each_step,
    next_step,
    quiz_status_for_staff,
)
from quizzes.facts import Pass
from quizzes.relearning.rules.next_attempt import Step, StepCode

ZONE, AT = "America/Chicago", datetime(2026, 10, 12, 17, 0, tzinfo=UTC)
SAW, GENERAL = 2, 1
AGREEMENT = Reason("agreement.missing", NextActor.GUARDIAN, "Hand in the safety agreement.", "agreement")
QUIZ = Reason("bank.missing", NextActor.STUDENT, "Take the Band saw quiz. Every answer must be right.", "quiz", "2")
SAFETY = Reason(
    "bank.missing", NextActor.STUDENT, "Take the General shop safety quiz. Every answer must be right.", "quiz", "1"
)
FIRST = Reason("first.missing", NextActor.STUDENT, "First: scroll saw.", "bench")
SHOW = Reason("demonstration.missing", NextActor.TEACHER, "Then show your teacher at the machine.", "sign-off", "20")
HOLD = Reason("hold", NextActor.TEACHER, "Your teacher has paused this one. Talk to Ms Ferrant.", "hold", "5")


def step(*reasons: Reason, quiz: Step | None = None, bank: int = SAW) -> NextStep:
    return next_step(ClearanceResult(Standing.TRAINING, reasons), SAW, {bank: quiz} if quiz else {}, AT, ZONE)


def cleared(ending: Ending | None, **quiz: Step) -> NextStep:
    steps = {SAW: quiz["quiz"]} if quiz else {}
    return next_step(ClearanceResult(Standing.CLEARED, ending=ending), SAW, steps, AT, ZONE, "drill press")


def test_a_hold_leaves_nothing_to_press():
    assert step(HOLD, QUIZ) == NextStep(HOLD.sentence)


def test_hold_that_the_student_can_lift_has_a_button():
    rules = Reason("hold", NextActor.STUDENT, "Learn its rules again.", "hold-rules", "5")
    assert step(rules) == NextStep(rules.sentence, "Learn the rules", hold="5")
    quiz = Reason("hold", NextActor.STUDENT, "Take its quiz again.", "hold-quiz", "6")
    assert step(quiz) == NextStep(quiz.sentence, "Take the quiz again", hold="6")


def test_quiz_can_start_while_the_agreement_is_missing():
    assert step(AGREEMENT, QUIZ, SHOW) == NextStep(QUIZ.sentence, "Start the quiz", SAW)


def test_step_for_staff_has_no_button():
    assert step(AGREEMENT, SHOW) == NextStep(f"The safety agreement comes first. {SHOW.sentence}")
    assert step(AGREEMENT) == NextStep("The safety agreement comes first.")
    assert step(SHOW) == NextStep(SHOW.sentence)


def test_the_agreement_is_asked_for_once_above_all_machines():
    waits, ready = ClearanceResult(Standing.TRAINING, (AGREEMENT, SHOW)), ClearanceResult(Standing.READY, (SHOW,))
    assert agreement_first([]) == agreement_first([ready]) == ""
    assert agreement_first([waits, waits]) == f"{AGREEMENT.sentence} Until then no machine counts as cleared."
    assert "a machine that asks for it" in agreement_first([waits, ready])


def test_missing_steps_match_those_on_the_students_page():
    steps = {SAW: Step(code=StepCode.RELEARN, cards=9)}
    reason_steps = each_step(ClearanceResult(Standing.TRAINING, (AGREEMENT, SAFETY, QUIZ, SHOW)), SAW, steps, ZONE)
    assert [reason for reason, _ in reason_steps] == [AGREEMENT, SAFETY, QUIZ, SHOW]
    assert [reason.sentence for _, reason in reason_steps] == [
        AGREEMENT.sentence,
        SAFETY.sentence,
        "9 rules to learn again, then new questions.",
        SHOW.sentence,
    ]
    assert reason_steps[2][1] == step(QUIZ, SHOW, quiz=steps[SAW])


def test_machine_on_hold_lists_only_its_holds():
    reason_steps = each_step(ClearanceResult(Standing.ON_HOLD, (HOLD, QUIZ, SHOW)), SAW, {}, ZONE)
    assert reason_steps == [(HOLD, step(HOLD))]


def test_a_quiz_that_comes_first_leaves_a_machine_one_short_line():
    first = step(SAFETY, QUIZ)
    assert first.first == GENERAL
    assert step(QUIZ).first is None
    assert after_first(first, "General shop safety") == NextStep("General shop safety comes first.", first=GENERAL)


def test_another_machine_comes_before_its_quiz():
    assert step(FIRST, QUIZ, SHOW) == NextStep("First: scroll saw. Then its quiz.")
    assert step(FIRST, SHOW) == NextStep("First: scroll saw.")


@pytest.mark.parametrize(
    ("quiz", "sentence", "label"),
    [
        (Step(code=StepCode.OPEN), "Your quiz is open. Your answers are kept.", "Continue the quiz"),
        (Step(code=StepCode.OPEN, paper=True), "You have this quiz on paper. Give the sheet to your teacher.", ""),
        (Step(code=StepCode.RELEARN, cards=2), "2 rules to learn again, then new questions.", "Learn the 2 rules"),
        (Step(code=StepCode.RELEARN, cards=1), "1 rule to learn again, then new questions.", "Learn the 1 rule"),
        (
            Step(code=StepCode.TEACHER, attempt=UUID(int=1)),
            "Talk to your teacher. Your teacher lets you try again.",
            "",
        ),
        (
            Step(code=StepCode.CHECK, checks=2),
            "2 check questions about your rules, then new questions.",
            "Answer the 2 check questions",
        ),
        (
            Step(code=StepCode.CHECK, checks=1),
            "1 check question about your rules, then new questions.",
            "Answer the 1 check question",
        ),
        (Step(code=StepCode.WAIT, until=AT), "New questions at 12:00 PM.", ""),
        (Step(code=StepCode.AGAIN), "New questions are ready for you.", "Try again"),
    ],
)
def test_a_quiz_under_way_says_how_far_it_is(quiz: Step, sentence: str, label: str):
    assert step(QUIZ, quiz=quiz) == NextStep(sentence, label, SAW if label else None)


def test_a_quiz_that_is_not_this_machines_own_is_named():
    assert step(SAFETY, QUIZ).sentence == SAFETY.sentence
    assert step(SAFETY, QUIZ, quiz=Step(code=StepCode.OPEN), bank=GENERAL) == NextStep(
        "Take the General shop safety quiz first. Your quiz is open. Your answers are kept.",
        "Continue the quiz",
        GENERAL,
        first=GENERAL,
    )


def test_the_refresher_brings_a_lapsed_machine_back():
    lapsed = Reason(
        "lapsed.unused", NextActor.STUDENT, "Not used for 60 days. A short refresher brings it back.", "refresher", "2"
    )
    assert step(lapsed) == NextStep(lapsed.sentence, "Start the refresher", SAW, refresher=True)


def test_a_clearance_tells_its_last_day():
    assert cleared(Ending(datetime(2027, 1, 16, 6, tzinfo=UTC), "term")) == NextStep("Until January 15, 2027.")
    assert cleared(None).bank is None


@pytest.mark.parametrize(("days", "told"), [(13, True), (14, True), (15, False)])
def test_student_sees_the_refresher_within_fourteen_days(days: int, told: bool):
    told_now = cleared(Ending(AT + timedelta(days=days), "unused", amount="unused_days"))
    assert (told_now.label == "Take the refresher", told_now.refresher) == (told, told)
    assert ("a short refresher keeps it." in told_now.sentence) == told


def test_the_day_and_the_machine_are_named():
    advice = cleared(Ending(datetime(2026, 10, 20, 5, tzinfo=UTC), "refresh", amount="refresh_days"))
    assert advice.sentence == "Your drill press clearance expires on October 19, 2026: a short refresher keeps it."


def test_a_refresher_under_way_says_how_far_it_is():
    advice = cleared(
        Ending(AT + timedelta(days=3), "refresh", amount="refresh_days"), quiz=Step(code=StepCode.RELEARN, cards=1)
    )
    assert advice.sentence.endswith("1 rule to learn again, then new questions.")
    assert (advice.label, advice.bank, advice.refresher) == ("Learn the 1 rule", SAW, True)
    waits = cleared(Ending(AT + timedelta(days=3), "refresh", amount="refresh_days"), quiz=Step(code=StepCode.TEACHER))
    assert (waits.label, waits.bank) == ("", None)


def test_a_new_edition_opens_the_quiz_that_has_changed():
    advice = cleared(Ending(AT + timedelta(days=3), "edition", GENERAL))
    assert (advice.label, advice.bank, advice.refresher) == ("Take the new quiz", GENERAL, False)


@pytest.mark.parametrize("by", ["term", "year", "agreement", "first"])
def test_ending_that_no_quiz_can_prevent_has_no_button(by: str):
    advice = cleared(Ending(AT + timedelta(days=3), by))
    assert "expires on October 15, 2026" in advice.sentence
    assert advice.label == ""


def test_a_bank_no_one_has_accepted_may_be_practiced():
    reason = Reason(
        "bank.not-accepted", NextActor.TEACHER, "Your teacher has not accepted the rules yet.", "accept", "2"
    )
    assert step(reason, SHOW) == NextStep(reason.sentence, "Practice", SAW)
    assert step(reason, quiz=Step(code=StepCode.OPEN, practice=True)).label == "Continue the quiz"
    assert step(reason, quiz=Step(code=StepCode.WAIT, until=AT, practice=True)) == NextStep(reason.sentence)
    assert step(HOLD, reason) == NextStep(HOLD.sentence)


PASS = Pass(7, GENERAL, 1, AT - timedelta(days=5), None, 12)
ENDS = PASS._replace(counts_until=AT + timedelta(days=10))
PRACTICE = "a new attempt is practice only until a teacher accepts its rules"


@pytest.mark.parametrize(
    ("step", "passed", "said"),
    [
        (None, None, "not published yet."),
        (Step(code=StepCode.NOT_STARTED), None, "not started."),
        (Step(code=StepCode.OPEN), None, "begun, not handed in."),
        (Step(code=StepCode.OPEN, paper=True), None, "on paper, not entered yet."),
        (Step(code=StepCode.OPEN, practice=True), None, "begun, not handed in, as practice that counts for nothing."),
        (Step(code=StepCode.RELEARN, cards=1), None, "1 rule to learn again."),
        (
            Step(code=StepCode.RELEARN, cards=3, teacher=True),
            None,
            "3 rules to learn again, then a teacher lets the student try again.",
        ),
        (Step(code=StepCode.TEACHER, teacher=True), None, "waits for a teacher, who lets the student try again."),
        (Step(code=StepCode.CHECK, checks=1), None, "1 check question to answer."),
        (
            Step(code=StepCode.CHECK, checks=2, teacher=True),
            None,
            "2 check questions to answer, then a teacher lets the student try again.",
        ),
        (Step(code=StepCode.WAIT, until=AT), None, "a wait until 12:00 PM, then new questions."),
        (Step(code=StepCode.AGAIN), None, "new questions are ready."),
        (Step(code=StepCode.NOT_STARTED, practice=True), None, f"not started; {PRACTICE}."),
        (Step(code=StepCode.PASSED), PASS, "passed on October 7, 2026."),
        (Step(code=StepCode.PASSED), ENDS, "passed on October 7, 2026; the pass counts until October 22, 2026."),
        (
            Step(code=StepCode.RELEARN, cards=2, refresher=True),
            PASS,
            "passed on October 7, 2026; refresher: 2 rules to learn again.",
        ),
    ],
)
def test_a_grown_up_reads_how_far_the_student_is(step: Step | None, passed: Pass | None, said: str) -> None:
    assert quiz_status_for_staff(step, passed, ZONE) == said
