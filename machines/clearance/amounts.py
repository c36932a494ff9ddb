"""The requirements that are a number, such as days until a refresher. A new one is one entry here, and its column.

The loader, the rule and its words, the requirements form, the logbook and its verification read this list.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import NamedTuple

from machines.clearance.facts import EndingCause, GapCode
from shopsafe.language.messages import counted, marked
from shopsafe.school.calendar import FOREVER, NEVER, end_of_day, local_day


class Tally(NamedTuple):
    """The records of one sort about one student at one machine or kind, taken together: when the last, how much."""

    last: datetime
    amount: int = 1

    def with_more(self, other: "Tally") -> "Tally":
        return Tally(max(self.last, other.last), self.amount + other.amount)


class AmountRecord(NamedTuple):
    """What an amount is judged by, at one machine, or at its kind where one sign-off counts for the kind.

    signed_at   the last sign-off; None without one
    proved_at   the last perfect attempt or refresher in the machine's own quiz; NEVER without one
    tally       of the records that the amount counts; None where there are none
    """

    zone: str
    signed_at: datetime | None
    proved_at: datetime
    tally: Tally | None


@dataclass(frozen=True, slots=True)
class AmountKind:
    """All there is to one requirement that is a number. What people read is a function of the number.

    column       of the table of requirements; null where it is not asked
    label, hint  on the form
    asks         in the list of what a machine asks for: "Refresher after 30 days"
    until        when that number, asked of that record, stops being met: FOREVER if it is met for good, NEVER if it is
                 not met yet
    missing      while it is not met, for the student; `missing_for_staff` for staff where they read another sentence
    met          once it is met, among what a clearance rests on; None where the end of the clearance says it
    counts       the sort of records that it counts, a key of STATEMENTS; empty where it counts none
    needs_runs   it is offered only where a shop keeps runs
    renewed      a refresher or a sign-off fulfills it again: it is looked at after the demonstration
    gap, ending  its codes: of the gap while it is not met, and of the end of a clearance that ends with it
    keeps        what keeps such a clearance; empty where it is met for good
    """

    column: str
    label: str
    asks: Callable[[int], str]
    until: Callable[[int, AmountRecord], datetime]
    missing: Callable[[int], str]
    missing_for_staff: Callable[[int], str] | None = None
    hint: str = ""
    met: Callable[[int], str] | None = None
    counts: str = ""
    needs_runs: bool = False
    renewed: bool = False
    gap: GapCode = GapCode.AMOUNT
    ending: EndingCause = EndingCause.AMOUNT
    keeps: str = ""


class AskedAmount(NamedTuple):
    kind: AmountKind
    number: int

    @property
    def asks(self) -> str:
        return self.kind.asks(self.number)


# What amounts count: one row a student and a machine that has such records, when the last of them was and how much
# they come to.
STATEMENTS = {
    # Runs that came to a standstill.
    "run": """
SELECT 'run', run.student_id, run.machine_id, machine.kind_id, MAX(run.ended_at), COUNT(*)
  FROM machines_run run LEFT JOIN machines_machine machine ON machine.id = run.machine_id
 WHERE run.student_id IN ({ids}) AND run.started_at IS NOT NULL AND run.ended_at <= %(at)s
 GROUP BY run.student_id, run.machine_id, machine.kind_id
""",
}


def _refreshed_until(days: int, record: AmountRecord) -> datetime:
    """Counted from when the student last proved it: by sign-off, perfect attempt or refresher."""
    if record.signed_at is None:
        return FOREVER
    return _days_on(max(record.signed_at, record.proved_at), days, record.zone)


def _used_until(days: int, record: AmountRecord) -> datetime:
    """As `_refreshed_until`, counted also from the last run."""
    if record.signed_at is None:
        return FOREVER
    used = record.tally.last if record.tally else NEVER
    return _days_on(max(used, record.signed_at, record.proved_at), days, record.zone)


def _days_on(since: datetime, days: int, zone: str) -> datetime:
    """The end of the school day that is `days` days after the day of `since`; of NEVER it is over."""
    if since is NEVER:
        return NEVER
    try:
        return end_of_day(local_day(since, zone) + timedelta(days=days), zone)
    except OverflowError:
        return FOREVER


REFRESH_DAYS = AmountKind(
    column="refresh_days",
    label=marked("Days until a refresher is due"),
    hint=marked("Counted from the last sign-off, quiz or refresher."),
    asks=lambda days: counted("Refresher after {count} day", "Refresher after {count} days", count=days),
    until=_refreshed_until,
    missing=lambda days: counted(
        "{count} day has passed since the last quiz, refresher or sign-off.",
        "{count} days have passed since the last quiz, refresher or sign-off.",
        count=days,
    ),
    renewed=True,
    gap=GapCode.REFRESHER_DUE,
    ending=EndingCause.REFRESH,
    keeps=marked("a short refresher keeps it."),
)
UNUSED_DAYS = AmountKind(
    column="unused_days",
    label=marked("Days without use until it expires"),
    hint=marked("Counted from the last run, sign-off, quiz or refresher."),
    asks=lambda days: counted(
        "Expires when unused for {count} day", "Expires when unused for {count} days", count=days
    ),
    until=_used_until,
    missing=lambda days: counted("Not used for {count} day.", "Not used for {count} days.", count=days),
    counts="run",
    needs_runs=True,
    renewed=True,
    gap=GapCode.NOT_USED,
    ending=EndingCause.UNUSED,
    keeps=marked("a short refresher keeps it."),
)

# By column, in the order in which they are listed and looked at.
AMOUNTS = {kind.column: kind for kind in (REFRESH_DAYS, UNUSED_DAYS)}


def asked_amounts(numbers: Mapping[str, int | None]) -> tuple[AskedAmount, ...]:
    """Those of which the column holds a number."""
    asked = ((kind, numbers.get(column)) for column, kind in AMOUNTS.items())
    return tuple(AskedAmount(kind, number) for kind, number in asked if number is not None)
