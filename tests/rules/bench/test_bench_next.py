"""The one thing to do next, and why not, in at most eight words."""

import pytest

from machines.bench import rules
from machines.bench.rules import candidate, why_not
from machines.clearance.facts import ClearanceResult, GapCode, NextActor, Reason, Standing
from machines.clearance.rules.next_steps import NextStep
from quizzes.relearning.rules.next_attempt import Step

QUIZ = NextStep("Pass the quiz.", "Start the quiz", bank=7)


def step(code: str, **more: int) -> dict[int, Step]:
    return {7: Step(code=code, **more)}  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("next_step", "steps", "rank", "title"),
    [
        (QUIZ, {}, rules.FIRST_QUIZ, "Band saw 2: the quiz"),
        (QUIZ, step("open"), rules.OPEN_QUIZ, "Band saw 2: your quiz is open"),
        (QUIZ, step("relearn", cards=2), rules.STUDY, "Band saw 2: 2 rules to study"),
        (QUIZ, step("check questions", checks=1), rules.STUDY, "Band saw 2: 1 check question"),
        (QUIZ, step("try again"), rules.NEW_QUESTIONS, "Band saw 2: new questions"),
        (NextStep("Wait.", bank=7), step("wait"), rules.LATER, "Band saw 2: wait for new questions"),
        (NextStep("Renew.", "Take the refresher", 7, True), {}, rules.REFRESH, "Band saw 2: a short refresher"),
        (NextStep("Held.", "Learn the rules", hold="3"), {}, rules.HOLD, "Band saw 2: on hold"),
    ],
)
def test_candidate_has_its_rank_and_its_title(
    next_step: NextStep, steps: dict[int, Step], rank: int, title: str
) -> None:
    act = candidate("Band saw 2", next_step, steps)
    assert act
    assert (act.rank, act.title) == (rank, title)


def test_started_quizzes_come_before_new_ones() -> None:
    order = [rules.STUDY, rules.REFRESH, rules.OPEN_QUIZ, rules.NEW_QUESTIONS, rules.SHOW, rules.FIRST_QUIZ]
    assert order == sorted(order)


def test_a_clearance_that_a_new_quiz_keeps_comes_before_a_first_quiz() -> None:
    act = candidate("Band saw 2", QUIZ, {}, cleared=True)
    assert act
    assert act.rank == rules.REFRESH


def test_a_student_who_is_ready_shows_the_teacher_and_presses_nothing() -> None:
    act = candidate("Band saw 2", NextStep("Show your teacher."), {}, ready=True)
    assert act
    assert (act.title, act.step.label) == ("Band saw 2: show your teacher", "")


def test_where_others_act_there_is_nothing_to_do() -> None:
    assert candidate("Band saw 2", NextStep("Your teacher acts."), {}) is None


def answer(*codes: GapCode, standing: Standing = Standing.TRAINING) -> ClearanceResult:
    return ClearanceResult(standing, tuple(Reason(code, NextActor.STUDENT, "A sentence.") for code in codes))


@pytest.mark.parametrize("code", list(GapCode))
def test_each_reason_is_at_most_eight_words(code: GapCode) -> None:
    standing = Standing.ON_HOLD if code is GapCode.HOLD else Standing.TRAINING
    line = why_not(answer(code, standing=standing), NextStep(""), {})
    assert line != "Ask your teacher."
    assert len(line.split()) <= rules.MOST_WORDS


def test_a_quiz_that_comes_first_is_named_if_its_name_is_short() -> None:
    first = NextStep("", first=7)
    assert why_not(answer(GapCode.QUIZ), first, {7: "General shop safety"}) == "General shop safety comes first."
    long = "Everything about solvents, finishes, glue and their vapors"
    assert why_not(answer(GapCode.QUIZ), first, {7: long}) == "Another quiz comes first."
