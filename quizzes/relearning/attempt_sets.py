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

# One row an attempt that was begun by then and was no practice. Where nobody asks when it was handed in, a null.
ATTEMPTS = """
SELECT attempt.student_id, attempt.bank_id, edition.number, attempt.purpose = 'refresher',
       attempt.perfect AND attempt.handed_in_at <= %(at)s
       AND (attempt.voided_at IS NULL OR attempt.voided_at > %(at)s), {handed_in}
  FROM quizzes_attempt attempt LEFT JOIN quizzes_edition edition ON edition.id = attempt.edition_id
 WHERE attempt.student_id IN ({ids}) AND NOT attempt.practice AND attempt.started_at <= %(at)s
"""
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
    """Student → their attempts as they stood at `at`; nobody without one. One query, however many students."""
    rows = plain_rows(ATTEMPTS.replace("{handed_in}", HANDED_IN if proved else "NULL"), student_ids, at)
    ends = _ends(rows, published, at)
    by_student: dict[int, StudentAttempts] = defaultdict(StudentAttempts)
    for student, bank, number, refresher, perfect, handed_in in rows:
        attempts = by_student[student]
        attempts.begun.add(bank)
        if not perfect:
            continue
        if proved:
            handed_in_at = moment(handed_in)
            attempts.proved[bank] = max(handed_in_at, attempts.proved.get(bank, handed_in_at))
        if refresher:
            continue
        until, passed = ends[bank, number], attempts.passed
        if until is None:
            attempts.outdated.add(bank)
        elif bank not in passed or passed[bank] < until:
            passed[bank] = until
    for attempts in by_student.values():
        if attempts.outdated:
            attempts.outdated -= attempts.passed.keys()
    return by_student


def _ends(
    rows: Collection[tuple[int, ...]], published: Publications, at: datetime
) -> dict[tuple[int, int], datetime | None]:
    """(bank, edition) → until when a pass on it counts; None if it counts no longer at `at`."""
    editions = {row[1:3] for row in rows}
    ends: dict[tuple[int, int], datetime | None] = {}
    for bank, number in editions:
        until = counts_until(number, published[bank]) or FOREVER
        ends[bank, number] = until if at < until else None
    return ends
