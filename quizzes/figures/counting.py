"""Keeps the counts of answers: added inside the act that hands an attempt in, taken away inside the act that voids it.

Two acts at once add to the same row by one statement each, so that none is lost. They call this after their entry in
the logbook, for which the second waits, and rows are written in one order: neither can wait for the other for ever.
Kept counts and a recount of all attempts are the same: a test holds it, on both engines.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django.db import connection
from django.db.models import F, QuerySet

from quizzes.figures.loading import Saved, contributions_of, contributions_of_one, counted
from quizzes.figures.rules.counts import AnswerKey, Counts, RuleKey, ScoreKey, Tally, counts_of, month_of
from quizzes.models import AnswerCount, Attempt, CountedAttempt, RuleCount, ScoreCount
from shopsafe.school.calendar import local_day

ANSWER = ("students", "timed", "log_time", "log_time_squared")
RULE = ("met", "missed")
SCORE = ("students",)


def month_handed_in(attempt: Attempt, zone: str) -> int:
    if attempt.handed_in_at is None:
        raise ValueError("an attempt is counted once it is handed in")
    day = local_day(attempt.handed_in_at, zone)
    return month_of(day.year, day.month)


def add(attempt: Attempt, saved: Saved, zone: str) -> None:
    """Add a graded attempt to the counts of its bank. Call it in the act's transaction, after the attempt is saved."""
    CountedAttempt.objects.create(attempt=attempt)
    parts = contributions_of_one(attempt, saved)
    add_counts(attempt.bank_id, counts_of([(month_handed_in(attempt, zone), parts)]))


def take_away(attempt: Attempt, zone: str) -> None:
    """Take an attempt that is being voided out of the counts, if they hold it. Call it in the act's transaction."""
    if not CountedAttempt.objects.filter(attempt=attempt).delete()[0]:
        return
    saved = {row[0]: row[1:] for row in attempt.answers.values_list("question", "response", "saved_at")}
    counts = counts_of([(month_handed_in(attempt, zone), contributions_of_one(attempt, saved))])
    for model, names, rows in _tables(counts):
        for key, values in rows:
            less = {name: F(name) - value for name, value in zip(names, values, strict=True)}
            model._default_manager.filter(bank=attempt.bank_id, **key).update(**less)


def recount(bank: int, zone: str) -> Counts:
    """Return the counts of a bank as its attempts give them, without reading what is kept."""
    attempts = contributions_of(Attempt.objects.filter(bank=bank))
    return counts_of((month_handed_in(attempt, zone), parts) for attempt, parts in attempts)


def uncounted(bank: int) -> QuerySet[Attempt]:
    """Return the attempts at a bank that the counts do not hold yet: handed in before there were any."""
    return counted(Attempt.objects.filter(bank=bank, counted=None))


def catch_up(bank: int, zone: str) -> int:
    """Add the attempts at a bank that the counts do not hold yet; return how many. Call it in a transaction."""
    attempts = [(attempt, parts) for attempt, parts in contributions_of(uncounted(bank))]
    CountedAttempt.objects.bulk_create(CountedAttempt(attempt=attempt) for attempt, _ in attempts)
    add_counts(bank, counts_of((month_handed_in(attempt, zone), parts) for attempt, parts in attempts))
    return len(attempts)


Row = tuple[dict[str, Any], Sequence[int]]


def _tables(counts: Counts) -> Iterable[tuple[Any, tuple[str, ...], list[Row]]]:
    """Yield (model, what is added up, rows of key and numbers), each in the order in which rows are locked."""
    yield AnswerCount, ANSWER, [(key._asdict(), tally) for key, tally in sorted(counts.answers.items())]
    yield RuleCount, RULE, [(key._asdict(), values) for key, values in sorted(counts.rules.items())]
    yield ScoreCount, SCORE, [(key._asdict(), (students,)) for key, students in sorted(counts.scores.items())]


AT_A_TIME = 50  # rows a statement: well under the number of parameters that either engine takes


def add_counts(bank: int, counts: Counts) -> None:
    """Add counts to those of a bank. Call it in a transaction."""
    for model, names, rows in _tables(counts):
        for start in range(0, len(rows), AT_A_TIME):
            _upsert(model, bank, names, rows[start : start + AT_A_TIME])


def _upsert(model: Any, bank: int, names: Sequence[str], rows: Sequence[Row]) -> None:
    """Insert rows, or add to those that are there: one statement, so that a second act at the same time adds too."""
    table, quote = model._meta.db_table, connection.ops.quote_name
    key_names = list(rows[0][0])
    columns = ["bank_id", *key_names, *names]
    row = f"({', '.join(['%s'] * len(columns))})"
    adding = ", ".join(f"{quote(name)} = {quote(table)}.{quote(name)} + excluded.{quote(name)}" for name in names)
    conflict = ", ".join(quote(name) for name in ["bank_id", *key_names])
    statement = (
        f"INSERT INTO {quote(table)} ({', '.join(map(quote, columns))}) "  # noqa: S608  names of our own columns alone
        f"VALUES {', '.join([row] * len(rows))} ON CONFLICT ({conflict}) DO UPDATE SET {adding}"
    )
    values = [value for key, numbers in rows for value in (bank, *key.values(), *numbers)]
    with connection.cursor() as cursor:
        cursor.execute(statement, values)


def kept(bank: int) -> Counts:
    """Return the kept counts of a bank, without rows from which everything was taken away again."""
    return Counts(
        answers={key: tally for key, tally in _answers(bank).items() if any(tally)},
        rules={key: values for key, values in _rules(bank).items() if any(values)},
        scores={key: students for key, students in _scores(bank).items() if students},
    )


def _answers(bank: int) -> Mapping[AnswerKey, Tally]:
    rows = AnswerCount.objects.filter(bank=bank).values_list(*AnswerKey._fields, *ANSWER)
    width = len(AnswerKey._fields)
    return {AnswerKey(*row[:width]): Tally(*row[width:]) for row in rows}


def _rules(bank: int) -> Mapping[RuleKey, tuple[int, int]]:
    rows = RuleCount.objects.filter(bank=bank).values_list("rule", "month", *RULE)
    return {RuleKey(rule, month): (met, missed) for rule, month, met, missed in rows}


def _scores(bank: int) -> Mapping[ScoreKey, int]:
    rows = ScoreCount.objects.filter(bank=bank).values_list("month", "asked", "correct", "students")
    return {ScoreKey(*row[:3]): row[3] for row in rows}
