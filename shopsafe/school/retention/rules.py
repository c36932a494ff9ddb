"""How long a student's record is kept: the school's rule, and what holds it longer. Rules: no clock, no Django.

The figures are the school's own, after its district's rules; nothing is erased by itself before they are set. After
an injury the years are counted from the end of the calendar year it happened in, the way 29 CFR 1904.33(a) counts for
employees.
"""

from dataclasses import dataclass
from datetime import date

from shopsafe.conventions import written_day
from shopsafe.language.messages import _, marked


@dataclass(frozen=True, slots=True)
class RetentionRule:
    """Years a record is kept: after the student has left, and after an injury. None: until the school says."""

    years: int | None
    years_after_injury: int | None


@dataclass(frozen=True, slots=True)
class RecordDates:
    """What the rule asks of one student.

    left_on  the last day in any class, which may be still to come; None for someone who never was in one
    injured  the day of the latest injury on record
    kept     why the office keeps the record beyond the rule; empty if it doesn't
    """

    left_on: date | None
    injured: date | None = None
    kept: str = ""


@dataclass(frozen=True, slots=True)
class EraseBlocker:
    """Why a record may not be erased: a code, a sentence, and the last day of it where there is one."""

    code: str
    sentence: str
    until: date | None = None


LAST_DAY = marked("Today is the student's last day in a class. The record can't be erased before tomorrow.")


def erase_blocker(record: RecordDates, rule: RetentionRule, today: date) -> EraseBlocker | None:
    """What keeps this record, no matter who wants it erased; None if nothing does."""
    if record.left_on == today:
        return EraseBlocker("enrolled", _(LAST_DAY), today)
    if record.left_on is not None and record.left_on > today:
        return EraseBlocker("enrolled", _("The student is still in a class. End that first."), record.left_on)
    if record.kept:
        return EraseBlocker("kept", _("The office keeps this record: {kept}", kept=record.kept))
    if record.injured is None:
        return None
    if rule.years_after_injury is None:
        return EraseBlocker("injury", _("There was an injury. Say first how long records are kept after one."))
    until = end_of_year(record.injured, rule.years_after_injury)
    if today > until:
        return None
    sentence = _(
        "There was an injury. The record is kept until {day}, and that comes before a request to erase it.",
        day=written_day(until),
    )
    return EraseBlocker("injury", sentence, until)


def keep_until(record: RecordDates, rule: RetentionRule) -> date | None:
    """The last day by the school's rule; None where it says nothing of this record yet. Beside it: `erase_blocker`."""
    if record.left_on is None or rule.years is None:
        return None
    last = same_day(record.left_on, rule.years)
    if record.injured is None:
        return last
    if rule.years_after_injury is None:
        return None
    return max(last, end_of_year(record.injured, rule.years_after_injury))


def is_due(record: RecordDates, rule: RetentionRule, today: date) -> bool:
    """Whether the record is erased by itself now."""
    last = keep_until(record, rule)
    return last is not None and today > last and erase_blocker(record, rule, today) is None


def same_day(day: date, years: int) -> date:
    """The same day so many years later; 28 February for a 29th that is not there."""
    try:
        return day.replace(year=day.year + years)
    except ValueError:
        return date(day.year + years, 2, 28)


def end_of_year(day: date, years: int) -> date:
    """The end of the calendar year, so many years later: 2024-02-29 and 5 give 2029-12-31."""
    return date(day.year + years, 12, 31)
