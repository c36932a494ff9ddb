"""What lifts a hold, and whether the student has done it. A rule: no Django, no clock.

A hold for some days ends by itself. After a talk, rules learned again or a new quiz a teacher lifts it: what the
student has done is shown, and the teacher decides. What the office decides, the office lifts.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from machines.clearance.facts import HoldWay
from shopsafe.language.messages import _, counted

BY_STUDENT = frozenset({HoldWay.RULES, HoldWay.QUIZ})


@dataclass(frozen=True, slots=True)
class HoldEnding:
    """How one hold is lifted.

    rules    codes of the rules to learn again; `learned` those that are, with when
    passed   when the quiz was passed perfectly, in full, since the hold was placed
    """

    lifts: HoldWay
    bank: int | None = None
    subject: str = ""
    rules: tuple[str, ...] = ()
    learned: tuple[tuple[str, datetime], ...] = ()
    passed: datetime | None = None

    def left(self, at: datetime) -> tuple[str, ...]:
        """The rules not learned again by `at`."""
        done = {rule for rule, when in self.learned if when <= at}
        return tuple(rule for rule in self.rules if rule not in done)

    def done(self, at: datetime) -> bool:
        """The student has done what was asked; False where only others can."""
        if self.lifts == HoldWay.RULES:
            return bool(self.rules) and not self.left(at)
        return self.lifts == HoldWay.QUIZ and self.passed is not None and self.passed <= at

    def not_done(self, at: datetime) -> str:
        """What the student has still to do, for the teacher; empty where it is done or not the student's to do."""
        if self.bank is None or self.done(at):
            return ""
        if self.lifts == HoldWay.RULES:
            return counted(
                "{count} rule card of {subject} not read and recalled yet.",
                "{count} rule cards of {subject} not read and recalled yet.",
                count=len(self.left(at)),
                subject=self.subject,
            )
        if self.lifts == HoldWay.QUIZ:
            return _("The {subject} quiz is not passed again yet.", subject=self.subject)
        return ""


def passed_since(placed_at: datetime, passes: Iterable[tuple[datetime, bool]]) -> datetime | None:
    """The first perfect attempt after the hold was placed; `passes` are (when, whether only a refresher)."""
    return min((at for at, refresher in passes if at > placed_at and not refresher), default=None)
