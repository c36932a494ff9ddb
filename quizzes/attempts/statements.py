"""The statements of saving an answer, in SQL: students send them more often than all others together."""

from datetime import datetime
from functools import cache
from typing import Any
from uuid import UUID

from django.db import connection

from quizzes.models import Answer, Attempt
from shopsafe.database.plain_rows import Columns
from shopsafe.school.locks import locking
from shopsafe.school.models import Person

ATTEMPT = Columns(Attempt, "a", ("id", "form", "handed_in_at", "voided_at", "edition_id", "paper_code", "started_at"))
OWN = "SELECT {attempt} FROM quizzes_attempt a WHERE a.id = %s AND a.student_id = %s AND a.school_id = %s"
ANSWER = Columns(Answer, "r")
KEPT = "SELECT {answer} FROM quizzes_answer r WHERE r.attempt_id = %s AND r.question = %s"
CHANGE = "UPDATE quizzes_answer SET response = %s, revision = %s, saved_at = %s WHERE id = %s"
ADD = """
    INSERT INTO quizzes_answer (attempt_id, question, response, revision, saved_at) VALUES (%s, %s, %s, %s, %s)
    RETURNING id
"""


def locked_attempt(student: Person, pk: UUID) -> Attempt | None:
    """The student's own attempt, locked, with the columns that saving reads; None for any other."""
    with connection.cursor() as cursor:
        cursor.execute(_own() + locking(Attempt, "a"), [_key(pk), student.pk, student.school_id])
        row = cursor.fetchone()
    return ATTEMPT.instance(row) if row else None


def kept_answer(attempt: Attempt, question: str) -> Answer | None:
    """The answer to one question as it is stored."""
    with connection.cursor() as cursor:
        cursor.execute(_kept(), [_key(attempt.pk), question])
        row = cursor.fetchone()
    return ANSWER.instance(row) if row else None


def change_answer(answer: Answer) -> None:
    """Store the response, the revision and the moment of an answer that is there."""
    values = [_as_json(answer.response), answer.revision, _as_moment(answer.saved_at), answer.pk]
    with connection.cursor() as cursor:
        cursor.execute(CHANGE, values)


def add_answer(answer: Answer) -> None:
    """Store an answer that is new, under a new key."""
    values = [_key(answer.attempt_id), answer.question, _as_json(answer.response), answer.revision]
    with connection.cursor() as cursor:
        cursor.execute(ADD, [*values, _as_moment(answer.saved_at)])
        (answer.pk,) = cursor.fetchone()
    answer._state.adding, answer._state.db = False, connection.alias


@cache
def _own() -> str:
    return OWN.format(attempt=ATTEMPT.sql)


@cache
def _kept() -> str:
    return KEPT.format(answer=ANSWER.sql)


def _key(pk: UUID) -> Any:
    return Attempt._meta.pk.get_db_prep_value(pk, connection)


def _as_json(value: Any) -> Any:
    return connection.ops.adapt_json_value(value, None)


def _as_moment(at: datetime) -> Any:
    return connection.ops.adapt_datetimefield_value(at)
