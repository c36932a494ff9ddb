"""What a student does next, the one thing, and why a machine may not be used yet, in a few words. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass

from machines.clearance.facts import ClearanceResult, GapCode, Standing
from machines.clearance.rules.next_steps import NextStep
from quizzes.relearning.rules.next_attempt import AGAIN, CHECK, NOT_STARTED, OPEN, PASSED, RELEARN, TEACHER, WAIT, Step

MOST_WORDS = 8  # of a line under "Not yet"

# The order in which one act is chosen: what a student has begun comes before what is new.
HOLD, STUDY, REFRESH, OPEN_QUIZ, NEW_QUESTIONS, SHOW, FIRST_QUIZ, LATER = range(8)
BY_STEP = {
    RELEARN: STUDY,
    CHECK: STUDY,
    OPEN: OPEN_QUIZ,
    AGAIN: NEW_QUESTIONS,
    NOT_STARTED: FIRST_QUIZ,
    PASSED: FIRST_QUIZ,
    WAIT: LATER,
    TEACHER: LATER,
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
        return NextAct(SHOW, f"{name}: show your teacher", "Your teacher asks for your check word.", NextStep(""))
    if next_step.hold:
        return NextAct(HOLD, f"{name}: on hold", next_step.sentence, next_step)
    if next_step.bank is None:
        return None
    step = steps.get(next_step.bank, Step(code=NOT_STARTED))
    rank = BY_STEP[step.code]
    if (next_step.refresher or cleared) and rank in (FIRST_QUIZ, NEW_QUESTIONS):
        rank = REFRESH
    if not next_step.label:
        rank = LATER
    return NextAct(rank, f"{name}: {_what(step, next_step)}", next_step.sentence, next_step)


def _what(step: Step, next_step: NextStep) -> str:
    match step.code:
        case "relearn":
            return "1 rule to study" if step.cards == 1 else f"{step.cards} rules to study"
        case "check questions":
            return "1 check question" if step.checks == 1 else f"{step.checks} check questions"
        case "open":
            return "your quiz is open"
        case "wait":
            return "wait for new questions"
        case "talk to your teacher":
            return "talk to your teacher"
        case "try again":
            return "new questions"
    return "a short refresher" if next_step.refresher else "the quiz"


def why_not(answer: ClearanceResult, next_step: NextStep, shared: Mapping[int, str]) -> str:
    """Why a machine may not be used yet, in at most eight words. `shared` names the quizzes that come first."""
    if answer.standing is Standing.ON_HOLD:
        return "On hold. Talk to your teacher."
    if next_step.first is not None and next_step.first in shared:
        return shorten(f"{shared[next_step.first]} comes first.")
    codes = [reason.code for reason in answer.reasons]
    for code, line in LINES.items():
        if code in codes:
            return line
    return "Ask your teacher."


# The first that is missing says it; what the student can do comes before what others do.
LINES = {
    GapCode.QUIZ: "Pass its quiz.",
    GapCode.QUIZ_CHANGED: "Its quiz has changed. Take the new one.",
    GapCode.RULES_NOT_APPROVED: "Practice only. Your teacher approves the rules first.",
    GapCode.REFRESHER_DUE: "Do the refresher first.",
    GapCode.NOT_USED: "Do the refresher first.",
    GapCode.OTHER_MACHINE: "Another machine comes first.",
    GapCode.AGREEMENT: "Hand in the safety agreement.",
    GapCode.DOCUMENT: "Hand in a signed form first.",
    GapCode.TERM_OVER: "Show your teacher again this term.",
    GapCode.YEAR_OVER: "Show your teacher again this year.",
    GapCode.DEMONSTRATION: "Show your teacher at the machine.",
}


def shorten(line: str) -> str:
    """The line, if it has no more than eight words; else what it says without the name."""
    return line if len(line.split()) <= MOST_WORDS else "Another quiz comes first."
