"""A student who is cleared on a band saw, and one who is ready to show it: where the cases of clearance begin."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

from machines.clearance.facts import Agreement, BankAsked, Evidence, Pass, Requirements, SignOff
from shopsafe.school.calendar import end_of_day

ZONE = "America/Chicago"
NOON = datetime(2026, 10, 12, 17, 0, tzinfo=UTC)  # 12 October 2026, 12:00 at the school
DAY, SECOND = timedelta(days=1), timedelta(seconds=1)
GENERAL, SAW, DRILL = 1, 2, 3  # banks

BAND_SAW = Requirements(
    machine=20,
    kind=2,
    name="band saw 2",
    banks=(BankAsked(GENERAL, "General shop safety"), BankAsked(SAW, "Band saw")),
    own_bank=SAW,
)
YEAR = Agreement(
    datetime(2026, 9, 1, tzinfo=UTC), datetime(2026, 8, 1, 5, tzinfo=UTC), datetime(2027, 8, 1, 5, tzinfo=UTC)
)
TERM_ENDS = end_of_day(date(2027, 1, 15), ZONE)
SIGNED = SignOff(20, 2, NOON - timedelta(days=3), "Ms Ferrant", TERM_ENDS, YEAR.ends)
READY = Evidence(
    ZONE, passes=(Pass(GENERAL, NOON - timedelta(days=9)), Pass(SAW, NOON - timedelta(days=5))), agreements=(YEAR,)
)
CLEARED = replace(READY, sign_offs=(SIGNED,))


def with_saw(**changes: Any) -> Evidence:
    """Cleared, with the pass of the band saw's quiz changed."""
    general, saw = CLEARED.passes
    return replace(CLEARED, passes=(general, saw._replace(**changes)))


def scroll(machine: int, **says: Any) -> Requirements:
    return Requirements(machine, 1, f"scroll saw {machine}", own_bank=9, agreement=False, **says)
