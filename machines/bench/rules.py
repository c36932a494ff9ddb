"""What a student does next, the one thing, and why a machine may not be used yet, in a few words. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import assert_never

from machines.clearance.facts import ClearanceResult, GapCode, Standing
from machines.clearance.rules.next_steps import NextStep
from quizzes.relearning.rules.next_attempt import Step, StepCode
from shopsafe.language.messages import _, counted, marked

MOST_WORDS = 8  # of a line under "Not yet"

# The order in which one act is chosen: what a student has begun comes before what is new.
HOLD, STUDY, REFRESH, OPEN_QUIZ, NEW_QUESTIONS, SHOW, FIRST_QUIZ, LATER = range(8)
BY_STEP = {
    StepCode.RELEARN: STUDY,
    StepCode.CHECK: STUDY,
    StepCode.OPEN: OPEN_QUIZ,
    StepCode.AGAIN: NEW_QUESTIONS,
    StepCode.NOT_STARTED: FIRST_QUIZ,
    StepCode.PASSED: FIRST_QUIZ,
    StepCode.WAIT: LATER,
    StepCode.TEACHER: LATER,
}


@dataclass(frozen=True)
class NextAct:
    """The one thing to do now. `rank` orders candidates; `step` holds the button, which may be empty."""

    rank: int
    title: str
    line: str
    step: NextStep


def candidate(
    name: str, next_step: NextStep, steps: Mapping[int, Step], *, ready: bool = False, cleared: bool = False
) -> NextAct | None:
    """What a row or a quiz offers as the one thing to do; None where it offers nothing.

    `name` is the machines' or the quiz's, as a title begins. What keeps a clearance that ends soon (`cleared`) comes
    before what is new.
    """
    if ready:
        return NextAct(
            SHOW, _("{name}: show your teacher", name=name), _("Your teacher asks for your check word."), NextStep("")
        )
    if next_step.hold:
        return NextAct(HOLD, _("{name}: on hold", name=name), next_step.sentence, next_step)
    if next_step.bank is None:
        return None
    step = steps.get(next_step.bank, Step(code=StepCode.NOT_STARTED))
    rank = BY_STEP[step.code]
    if (next_step.refresher or cleared) and rank in (FIRST_QUIZ, NEW_QUESTIONS):
        rank = REFRESH
    if not next_step.label:
        rank = LATER
    return NextAct(rank, f"{name}: {_what(step, next_step)}", next_step.sentence, next_step)


def _what(step: Step, next_step: NextStep) -> str:
    match step.code:
        case StepCode.RELEARN:
            return counted("{count} rule to study", "{count} rules to study", count=step.cards)
        case StepCode.CHECK:
            return counted("{count} check question", "{count} check questions", count=step.checks)
        case StepCode.OPEN:
            return _("your quiz is open")
        case StepCode.WAIT:
            return _("wait for new questions")
        case StepCode.TEACHER:
            return _("talk to your teacher")
        case StepCode.AGAIN:
            return _("new questions")
        case StepCode.NOT_STARTED | StepCode.PASSED:
            return _("a short refresher") if next_step.refresher else _("the quiz")
    assert_never(step.code)


def why_not(answer: ClearanceResult, next_step: NextStep, shared: Mapping[int, str]) -> str:
    """Why a machine may not be used yet, in at most eight words. `shared` names the quizzes that come first."""
    if answer.standing is Standing.ON_HOLD:
        return _("On hold. Talk to your teacher.")
    if next_step.first is not None and next_step.first in shared:
        return shorten(_("{first} comes first.", first=shared[next_step.first]))
    codes = [reason.code for reason in answer.reasons]
    for code, line in LINES.items():
        if code in codes:
            return _(line)
    return _("Ask your teacher.")


# The first that is missing says it; what the student can do comes before what others do.
LINES = {
    GapCode.QUIZ: marked("Pass its quiz."),
    GapCode.QUIZ_CHANGED: marked("Its quiz has changed. Take the new one."),
    GapCode.RULES_NOT_APPROVED: marked("Practice only. Your teacher accepts the rules first."),
    GapCode.REFRESHER_DUE: marked("Do the refresher first."),
    GapCode.NOT_USED: marked("Do the refresher first."),
    GapCode.OTHER_MACHINE: marked("Another machine comes first."),
    GapCode.AMOUNT: marked("Your teacher records something first."),
    GapCode.AGREEMENT: marked("Hand in the safety agreement."),
    GapCode.DOCUMENT: marked("Hand in a signed form first."),
    GapCode.TERM_OVER: marked("Show your teacher again this term."),
    GapCode.YEAR_OVER: marked("Show your teacher again this year."),
    GapCode.DEMONSTRATION: marked("Show your teacher at the machine."),
}


def shorten(line: str) -> str:
    """The line, if it has no more than eight words; else what it says without the name."""
    return line if len(line.split()) <= MOST_WORDS else _("Another quiz comes first.")
