"""A student who is cleared on a band saw, and one who is ready to show it: where the cases of clearance begin."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

from machines.clearance.amounts import AskedAmount, asked_amounts
from machines.clearance.facts import (
    DocumentFact,
    HoldFact,
    MachineRequirements,
    QuizPass,
    QuizRequirement,
    SignOffFact,
    StudentRecord,
)
from shopsafe.school.calendar import end_of_day

ZONE = "America/Chicago"
NOON = datetime(2026, 10, 12, 17, 0, tzinfo=UTC)  # October 12, 2026, 12:00 PM at the school
DAY, SECOND = timedelta(days=1), timedelta(seconds=1)
GENERAL, SAW, DRILL = 1, 2, 3  # banks

BAND_SAW = MachineRequirements(
    machine=20,
    kind=2,
    name="band saw 2",
    banks=(QuizRequirement(GENERAL, "General shop safety"), QuizRequirement(SAW, "Band saw")),
    own_bank=SAW,
)
YEAR = DocumentFact(
    datetime(2026, 9, 1, tzinfo=UTC), datetime(2026, 8, 1, 5, tzinfo=UTC), datetime(2027, 8, 1, 5, tzinfo=UTC)
)
TERM_ENDS = end_of_day(date(2027, 1, 15), ZONE)
SIGNED = SignOffFact(20, 2, NOON - timedelta(days=3), "Ms Ferrant", TERM_ENDS, YEAR.ends)
READY = StudentRecord(
    ZONE,
    passes=(QuizPass(GENERAL, NOON - timedelta(days=9)), QuizPass(SAW, NOON - timedelta(days=5))),
    documents=(YEAR,),
)
CLEARED = replace(READY, sign_offs=(SIGNED,))


def with_saw(**changes: Any) -> StudentRecord:
    """Cleared, with the pass of the band saw's quiz changed."""
    general, saw = CLEARED.passes
    return replace(CLEARED, passes=(general, saw._replace(**changes)))


def asked_days(*, refresh: int | None = None, unused: int | None = None) -> tuple[AskedAmount, ...]:
    return asked_amounts({"refresh_days": refresh, "unused_days": unused})


def scroll(machine: int, **says: Any) -> MachineRequirements:
    return MachineRequirements(machine, 1, f"scroll saw {machine}", own_bank=9, documents=(), **says)


HOLD = HoldFact(NOON, frozenset({20}), "Pushed a classmate.", "A talk.", "Ms Ferrant", ref="5")
