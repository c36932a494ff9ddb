"""Who passed which quiz and until when it counts, who began it, and who last proved it: for many students at once.

The same as `attempted` in queries.py says attempt by attempt, as sets straight from rows.
"""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import datetime

from quizzes.banks.editions.queries import Publications
from quizzes.banks.rules.counting import counts_until
from shopsafe.database.plain_rows import moment, plain_rows
from shopsafe.school.calendar import FOREVER

# One row an attempt that was begun by then and was no practice: what it was (OTHER, PASS or REFRESHER), the last two if
# it is perfect and stood by then. Where no one asks when it was handed in, a null.
ATTEMPTS = """
SELECT attempt.student_id, attempt.bank_id, attempt.edition_id,
       CASE WHEN attempt.perfect AND attempt.handed_in_at <= %(at)s
                 AND (attempt.voided_at IS NULL OR attempt.voided_at > %(at)s)
            THEN CASE WHEN attempt.purpose = 'refresher' THEN 2 ELSE 1 END ELSE 0 END, {handed_in}
  FROM quizzes_attempt attempt
 WHERE attempt.student_id IN ({ids}) AND NOT attempt.practice AND attempt.started_at <= %(at)s
"""
OTHER, PASS, REFRESHER = 0, 1, 2
HANDED_IN = "CAST(attempt.handed_in_at AS text)"


@dataclass(slots=True)
class StudentAttempts:
    """Of one student.

    passed    bank → until when the perfect attempt counts that counts longest, FOREVER for no end
    outdated  banks with a perfect attempt, none of which counts
    begun     banks with any attempt
    proved    bank → the last perfect attempt or refresher, counting or not, where that was asked for
    """

    passed: dict[int, datetime] = field(default_factory=dict)
    outdated: set[int] = field(default_factory=set)
    begun: set[int] = field(default_factory=set)
    proved: dict[int, datetime] = field(default_factory=dict)


def attempt_sets(
    student_ids: Collection[int], at: datetime, published: Publications, *, proved: bool
) -> dict[int, StudentAttempts]:
    """Student → their attempts as they stood at `at`; no one without one. One query, however many students."""
    rows = plain_rows(ATTEMPTS.replace("{handed_in}", HANDED_IN if proved else "NULL"), student_ids, at)
    ends = _ends(published, at)
    by_student: dict[int, StudentAttempts] = defaultdict(StudentAttempts)
    last, attempts = None, StudentAttempts()
    for student, bank, edition, result, handed_in in rows:
        if student != last:  # the rows of one student mostly come together
            last, attempts = student, by_student[student]
        attempts.begun.add(bank)
        if result == OTHER:
            continue
        if proved:
            handed_in_at = moment(handed_in)
            attempts.proved[bank] = max(handed_in_at, attempts.proved.get(bank, handed_in_at))
        if result == REFRESHER:
            continue
        until, passed = ends.get(edition, FOREVER), attempts.passed
        if until is None:
            attempts.outdated.add(bank)
        elif bank not in passed or passed[bank] < until:
            passed[bank] = until
    for attempts in by_student.values():
        if attempts.outdated:
            attempts.outdated -= attempts.passed.keys()
    return by_student


def _ends(published: Publications, at: datetime) -> dict[int, datetime | None]:
    """Edition → until when a pass on it counts; None if it counts no longer at `at`."""
    ends: dict[int, datetime | None] = {}
    for editions in published.values():
        for edition in editions:
            until = counts_until(edition.number, editions) or FOREVER
            ends[edition.key] = until if at < until else None
    return ends
