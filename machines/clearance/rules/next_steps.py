"""What a student reads about one machine: why, and the one next step. Rules: no Django, no clock."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import assert_never

from machines.clearance.amounts import AMOUNTS
from machines.clearance.facts import ClearanceResult, Ending, EndingCause, GapCode, NextActor, Reason
from machines.clearance.rules.wording import clock_text_after, day
from quizzes.facts import Pass
from quizzes.relearning.rules.next_attempt import Step, StepCode
from shopsafe.language.messages import _, counted, marked
from shopsafe.school.people.rules.documents import AGREEMENT, document_kind

SOON = timedelta(days=14)
# What ends a clearance → what keeps it.
KEEPS = {
    EndingCause.EDITION: marked("a quiz has changed. Take the new one before that day."),
    EndingCause.FIRST: marked("another machine that this one needs ends then."),
    EndingCause.TERM: marked("the term ends then. After that, show your teacher again."),
    EndingCause.YEAR: marked("the year ends then. After that, show your teacher again."),
}


@dataclass(frozen=True)
class NextStep:
    """`sentence` for the student; `label` and `bank` or `hold` of the button, empty where there is none."""

    sentence: str
    label: str = ""
    bank: int | None = None
    refresher: bool = False
    hold: str = ""  # of the button that opens what the student can do about a hold
    first: int | None = None  # the bank of a quiz that is not this machine's own and comes before it


def next_step(
    answer: ClearanceResult,
    own_bank: int | None,
    steps: Mapping[int, Step],
    at: datetime,
    zone: str,
    kind: str = "machine",
) -> NextStep:
    """The one thing to say and do. `steps` tells for each bank how far the student is in its quiz; `kind` is how the
    kind of machine is spoken of."""
    if answer.cleared:
        return _until(answer.ending, own_bank, steps, at, zone, kind)
    if answer.reasons[0].code == GapCode.HOLD:
        return _held(answer.reasons[0])
    # Where rules are not approved the teacher acts next, but a student may practice until then.
    mine = [
        reason
        for reason in answer.reasons
        if reason.who is NextActor.STUDENT or reason.code == GapCode.RULES_NOT_APPROVED
    ]
    if not mine:
        return _others(answer.reasons)
    first = mine[0]
    if first.link == "bench":
        if any(reason.link == "quiz" for reason in mine[1:]):
            return NextStep(f"{first.sentence} {_('Then its quiz.')}")
        return NextStep(first.sentence)
    return _quiz(first, own_bank, steps, zone)


def each_step(
    answer: ClearanceResult, own_bank: int | None, steps: Mapping[int, Step], zone: str
) -> list[tuple[Reason, NextStep]]:
    """All that is missing with what to say and do about each, in words that agree with `next_step`. Of a machine on
    hold nothing but its holds: the rest comes after them."""
    held = [reason for reason in answer.reasons if reason.code == GapCode.HOLD]
    return [(reason, _one(reason, own_bank, steps, zone)) for reason in held or answer.reasons]


def _one(reason: Reason, own_bank: int | None, steps: Mapping[int, Step], zone: str) -> NextStep:
    if reason.code == GapCode.HOLD:
        return _held(reason)
    if reason.link in ("quiz", "refresher") or reason.code == GapCode.RULES_NOT_APPROVED:
        return _quiz(reason, own_bank, steps, zone)
    return NextStep(reason.sentence)


def agreement_first(answers: Collection[ClearanceResult]) -> str:
    """What is said of the safety agreement once, above all machines; nothing where none of them waits for it."""
    waits = [reason for answer in answers for reason in answer.reasons if reason.code == GapCode.AGREEMENT]
    if not waits:
        return ""
    if len(waits) == len(answers):
        return f"{waits[0].sentence} {_('Until then no machine counts as cleared.')}"
    return f"{waits[0].sentence} {_('Until then a machine that asks for it does not count as cleared.')}"


def after_first(step: NextStep, subject: str) -> NextStep:
    """What a machine says where the quiz that comes first stands once above all machines, with its button."""
    return NextStep(_("{subject} comes first.", subject=subject), first=step.first)


def _others(reasons: tuple[Reason, ...]) -> NextStep:
    """Where only someone else can act."""
    if reasons[0].code != GapCode.AGREEMENT:
        return NextStep(reasons[0].sentence)
    follow_up = f" {reasons[1].sentence}" if len(reasons) > 1 else ""
    return NextStep(_("The safety agreement comes first.") + follow_up)


def _held(reason: Reason) -> NextStep:
    label = {"hold-rules": _("Learn the rules"), "hold-quiz": _("Take the quiz again")}.get(reason.link, "")
    return NextStep(reason.sentence, label, hold=reason.about if label else "")


def _until(
    ending: Ending | None, own_bank: int | None, steps: Mapping[int, Step], at: datetime, zone: str, kind: str
) -> NextStep:
    """How long a clearance lasts, and what keeps it where that day is near."""
    if ending is None:
        return NextStep(_("You may use it when your teacher says yes."))
    last = day(ending.last_moment, zone)
    if ending.at - at > SOON:
        return NextStep(_("Until {last}.", last=last))
    keeps = _(
        "Your {kind} clearance expires on {day}: {what_keeps_it}", kind=kind, day=last, what_keeps_it=_keeps(ending)
    )
    refresher = bool(ending.amount) and AMOUNTS[ending.amount].renewed
    bank = own_bank if refresher else ending.about
    if bank is None:
        return NextStep(keeps)
    label = _("Take the refresher") if refresher else _("Take the new quiz")
    step_words = _said(steps.get(bank, Step(code=StepCode.NOT_STARTED)), zone)
    if step_words is None:
        return NextStep(keeps, label, bank, refresher)
    sentence, label = step_words
    return NextStep(f"{keeps} {sentence}", label, bank if label else None, refresher)


def _keeps(ending: Ending) -> str:
    if ending.document:
        return document_kind(ending.document).keeps
    if ending.amount:
        return _(AMOUNTS[ending.amount].keeps)
    return AGREEMENT.keeps if ending.by == EndingCause.AGREEMENT else _(KEEPS[ending.by])


def _quiz(reason: Reason, own_bank: int | None, steps: Mapping[int, Step], zone: str) -> NextStep:
    bank = int(reason.about)
    refresher = reason.link == "refresher"
    first = None if bank == own_bank else bank
    step_words = _said(steps.get(bank, Step(code=StepCode.NOT_STARTED)), zone)
    if reason.code == GapCode.RULES_NOT_APPROVED:
        label = step_words[1] if step_words else _("Practice")
        return NextStep(reason.sentence, label, bank if label else None, first=first)
    if step_words is None:
        label = _("Start the refresher") if refresher else _("Start the quiz")
        return NextStep(reason.sentence, label, bank, refresher, first=first)
    sentence, label = step_words
    before = _("{step} first.", step=reason.sentence.split(".")[0]) + " " if first else ""
    return NextStep(before + sentence, label, bank if label else None, refresher, first=first)


def _said(step: Step, zone: str) -> tuple[str, str] | None:
    """What the quiz says of itself, and the button; None where it has not begun."""
    if step.paper:
        return _("You have this quiz on paper. Give the sheet to your teacher."), ""
    match step.code:
        case StepCode.OPEN:
            return _("Your quiz is open. Your answers are kept."), _("Continue the quiz")
        case StepCode.RELEARN:
            return _cards_said(step.cards)
        case StepCode.CHECK:
            return _checks_said(step.checks)
        case StepCode.TEACHER:
            return _("Talk to your teacher. Your teacher lets you try again."), ""
        case StepCode.WAIT:
            return _("New questions at {at}.", at=clock_text_after(step.until, zone)), ""
        case StepCode.AGAIN:
            return _("New questions are ready for you."), _("Try again")
        case StepCode.NOT_STARTED | StepCode.PASSED:
            return None
    assert_never(step.code)


def _cards_said(count: int) -> tuple[str, str]:
    sentence = counted(
        "{count} rule to learn again, then new questions.",
        "{count} rules to learn again, then new questions.",
        count=count,
    )
    return sentence, counted("Learn the {count} rule", "Learn the {count} rules", count=count)


def _checks_said(count: int) -> tuple[str, str]:
    sentence = counted(
        "{count} check question about your rules, then new questions.",
        "{count} check questions about your rules, then new questions.",
        count=count,
    )
    return sentence, counted("Answer the {count} check question", "Answer the {count} check questions", count=count)


def quiz_status_for_staff(step: Step | None, passed: Pass | None, zone: str) -> str:
    """How far a student is with one quiz, for a staff member, after its name; no step: no edition of it is out.

    `passed` is a pass that counts now: it stands also while a refresher, or a newer edition's quiz, is under way.
    """
    if step is None:
        return _("not published yet.")
    parts = []
    if passed:
        parts.append(_("passed on {day}", day=day(passed.at, zone)))
    if passed and passed.counts_until:
        parts.append(_("the pass counts until {day}", day=day(passed.counts_until, zone)))
    if not (passed and step.code in (StepCode.PASSED, StepCode.NOT_STARTED)):
        parts.append(_under_way(step, zone))
    if step.practice and step.code != StepCode.OPEN:
        parts.append(_("a new attempt is practice only until a teacher accepts its rules"))
    return f"{'; '.join(parts)}."


def _under_way(step: Step, zone: str) -> str:
    status = _status(step, zone)
    return _("refresher: {status}", status=status) if step.refresher else status


def _status(step: Step, zone: str) -> str:
    match step.code:
        case StepCode.NOT_STARTED:
            return _("not started")
        case StepCode.OPEN:
            status = _("on paper, not entered yet") if step.paper else _("begun, not handed in")
            return _("{status}, as practice that counts for nothing", status=status) if step.practice else status
        case StepCode.RELEARN | StepCode.CHECK:
            left = _left(step)
            return _("{left}, then a teacher lets the student try again", left=left) if step.teacher else left
        case StepCode.TEACHER:
            return _("waits for a teacher, who lets the student try again")
        case StepCode.WAIT if step.until:
            return _("a wait until {time}, then new questions", time=clock_text_after(step.until, zone))
        case StepCode.WAIT:
            return _("a wait, then new questions")
        case StepCode.AGAIN:
            return _("new questions are ready")
        case StepCode.PASSED:
            return _("passed")
    assert_never(step.code)


def _left(step: Step) -> str:
    """What a student does before new questions."""
    if step.code == StepCode.CHECK:
        return counted("{count} check question to answer", "{count} check questions to answer", count=step.checks)
    return counted("{count} rule to learn again", "{count} rules to learn again", count=step.cards)
