"""What stands between a student and the next attempt at one quiz, from what happened so far. No clock of its own."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum
from uuid import UUID
from zoneinfo import ZoneInfo

from quizzes.facts import Blueprint
from shopsafe.language.messages import _, marked


class StepCode(StrEnum):
    """Where a student is in one quiz. The words are those that programs read."""

    NOT_STARTED = "not started"
    OPEN = "open"
    RELEARN = "relearn"
    CHECK = "check questions"
    TEACHER = "talk to your teacher"
    WAIT = "wait"
    AGAIN = "try again"
    PASSED = "passed"


MAY_START = frozenset({StepCode.NOT_STARTED, StepCode.AGAIN})

# How a list says of a quiz where the student is in it.
STEP_LABELS = {
    StepCode.NOT_STARTED: marked("not started"),
    StepCode.OPEN: marked("begun, not handed in"),
    StepCode.RELEARN: marked("rules to learn again"),
    StepCode.CHECK: marked("check questions, then new questions"),
    StepCode.TEACHER: marked("talk to your teacher"),
    StepCode.WAIT: marked("a wait, then new questions"),
    StepCode.AGAIN: marked("new questions are ready"),
    StepCode.PASSED: marked("passed"),
}


@dataclass(frozen=True, kw_only=True)
class PastAttempt:
    """One attempt that stands (not voided), and what followed it."""

    id: UUID
    handed_in_at: datetime | None
    perfect: bool
    missed_rules: tuple[str, ...] = ()
    recalled: tuple[tuple[str, datetime], ...] = ()  # rule code, when its card was recalled
    checked: tuple[tuple[str, datetime], ...] = ()  # rule code, when its check question was answered
    released_at: datetime | None = None
    counts_until: datetime | None = None  # of a perfect one
    refresher: bool = False  # it renews a pass, and is none itself
    practice: bool = False  # begun before a teacher accepted the rules: it counts for nothing
    paper: bool = False

    @property
    def unread(self) -> tuple[str, ...]:
        read = {rule for rule, _ in self.recalled}
        return tuple(rule for rule in self.missed_rules if rule not in read)

    @property
    def unchecked(self) -> tuple[str, ...]:
        answered = {rule for rule, _ in self.checked}
        return tuple(rule for rule in self.missed_rules if rule not in answered)


@dataclass(frozen=True, kw_only=True)
class Step:
    """The next step. `attempt` is the one it is about; `until` the end of a wait, or when a pass stops counting."""

    code: StepCode
    attempt: UUID | None = None
    cards: int = 0  # rule cards still to be read
    checks: int = 0  # check questions still to be answered
    until: datetime | None = None
    teacher: bool = False  # the teacher must release the next attempt, also while cards are still being read
    refresher: bool = False  # the next attempt goes on with a refresher
    practice: bool = False  # the open attempt, or the next one, is practice only
    paper: bool = False  # the open attempt is on a sheet, which the teacher enters

    @property
    def label(self) -> str:
        """The step in a few words for the student."""
        return _(STEP_LABELS[self.code])

    def may_start(self, *, refresher: bool = False) -> bool:
        """A new attempt may begin. Early where a pass will end, so that no one stands idle on the day it does."""
        if self.code == StepCode.PASSED:
            return refresher or self.until is not None
        return self.code in MAY_START


def next_step(
    attempts: Sequence[PastAttempt], blueprint: Blueprint, at: datetime, zone: str, *, practice: bool = False
) -> Step:
    """The step at the moment `at`. `attempts` of one student at one bank, oldest first.

    `practice`: no teacher has accepted the rules, so a new attempt is practice only. Once one has, what was practice
    neither lets a student on nor holds one up.
    """
    for attempt in attempts:
        if attempt.handed_in_at is None:
            return Step(code=StepCode.OPEN, attempt=attempt.id, practice=attempt.practice, paper=attempt.paper)
    counted = attempts if practice else [past_attempt for past_attempt in attempts if not past_attempt.practice]
    return replace(_next(counted, blueprint, at, zone), practice=practice)


def _next(attempts: Sequence[PastAttempt], blueprint: Blueprint, at: datetime, zone: str) -> Step:
    if attempts and not attempts[-1].perfect:
        # Also for someone who has passed: a missed refresher is learned again like any other.
        refresher = attempts[-1].refresher and bool(_passes(attempts, at))
        return replace(_after_a_miss(attempts, blueprint, at, zone), refresher=refresher)
    passes = _passes(attempts, at)
    if not passes:
        return Step(code=StepCode.NOT_STARTED)
    best = max(passes, key=lambda attempt: (attempt.counts_until is None, attempt.counts_until or at))
    return Step(code=StepCode.PASSED, attempt=best.id, until=best.counts_until)


def _passes(attempts: Sequence[PastAttempt], at: datetime) -> list[PastAttempt]:
    counting = [attempt for attempt in attempts if attempt.counts_until is None or at < attempt.counts_until]
    return [attempt for attempt in counting if attempt.perfect and not attempt.refresher and not attempt.practice]


def _after_a_miss(attempts: Sequence[PastAttempt], blueprint: Blueprint, at: datetime, zone: str) -> Step:
    last = attempts[-1]
    teacher = last.released_at is None and _misses_in_a_row(attempts, zone) >= blueprint.misses_a_day
    if last.unread:
        return Step(code=StepCode.RELEARN, attempt=last.id, cards=len(last.unread), teacher=teacher)
    if last.unchecked:
        return Step(code=StepCode.CHECK, attempt=last.id, checks=len(last.unchecked), teacher=teacher)
    if teacher:
        return Step(code=StepCode.TEACHER, attempt=last.id, teacher=True)
    ready = max((moment for _, moment in last.checked), default=at) + timedelta(minutes=blueprint.wait_minutes)
    if last.released_at is None and at < ready:
        return Step(code=StepCode.WAIT, attempt=last.id, until=ready)
    return Step(code=StepCode.AGAIN, attempt=last.id)


def _misses_in_a_row(attempts: Sequence[PastAttempt], zone: str) -> int:
    """Misses on the school day of the last one, since a teacher's release or a pass. Once too many, it stays so.

    Practice is never too much.
    """
    misses = 0
    day = _day(attempts[-1].handed_in_at, zone)
    for attempt in reversed(attempts):
        if attempt.perfect or _day(attempt.handed_in_at, zone) != day:
            break
        if misses and attempt.released_at is not None:
            break
        misses += not attempt.practice
    return misses


def _day(moment: datetime | None, zone: str) -> object:
    return moment and moment.astimezone(ZoneInfo(zone)).date()
