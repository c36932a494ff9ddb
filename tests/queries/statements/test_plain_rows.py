"""The statements written out in SQL: found by person on an index, and moments that come back as they were stored."""

import re
from datetime import timedelta

import pytest
from django.db import connection

from machines.clearance import known_rows
from machines.clearance.amounts import STATEMENTS
from machines.clearance.class_machines import CHOICES
from machines.clearance.evidence import DOCUMENTS, HOLDS, RECORDED, SIGN_OFFS, evidence_of
from machines.clearance.loading import ASKED, ASKED_AND_EDITIONS, MACHINES
from machines.clearance.out_of_use import OUT_NOW
from machines.clearance.records import STANDING, standing_sign_off
from quizzes.banks.editions.approved import PRACTICE_ONLY
from quizzes.banks.editions.queries import EDITIONS, SCHOOL_EDITIONS
from quizzes.relearning import attempt_sets
from quizzes.relearning.queries import ATTEMPTS, attempted
from shopsafe.database.plain_rows import plain_rows
from shopsafe.school.people.classes import ENROLLED
from tests.cast import Cast
from tests.counting import plan_of, queries, scans
from tests.factories.machines import NOON, Floor, signed

TICK = timedelta(microseconds=1)


# How the plan of each engine says that the rows are found by their key.
BY_KEY = {"sqlite": "({key}=?", "postgresql": "{key} = ANY"}


@pytest.mark.parametrize(
    ("statement", "key"),
    [
        (ATTEMPTS, "student_id"),
        (attempt_sets.ATTEMPTS.replace("{handed_in}", attempt_sets.HANDED_IN), "student_id"),
        (SIGN_OFFS, "student_id"),
        (known_rows.SIGN_OFFS.replace("{made}", known_rows.MADE), "student_id"),
        (HOLDS, "student_id"),
        (known_rows.HOLDS, "student_id"),
        (known_rows.DOCUMENTS, "student_id"),
        (DOCUMENTS, "student_id"),
        *((statement, "student_id") for statement in STATEMENTS.values()),
        (ENROLLED, "section_id"),
        (EDITIONS, "bank_id"),
        (SCHOOL_EDITIONS, "school_id"),
        (PRACTICE_ONLY, "school_id"),
        (ASKED, "school_id"),
        (CHOICES, "section_id"),
        (MACHINES, "school_id"),
    ],
)
def test_query_uses_an_index_and_never_scans_a_table(cast: Cast, statement: str, key: str) -> None:
    for some in (range(3), range(800)):
        asked = statement.replace("{ids}", ",".join(map(str, some))), {"at": NOON, "day": NOON.date()}
        plan = plan_of(*asked)
        # SQLite begins with it; PostgreSQL writes what comes first below what uses it.
        by_key = plan[:1] if connection.vendor == "sqlite" else plan
        assert [line for line in by_key if BY_KEY[connection.vendor].format(key=key) in line], plan
        assert scans(*asked) == []


@pytest.mark.parametrize("statement", [RECORDED, known_rows.RECORDED.replace("{school}", "1"), ASKED_AND_EDITIONS])
def test_statements_joined_to_one_scan_no_table(cast: Cast, statement: str) -> None:
    rows_before_them = {"asked_rows", "edition_rows"}
    lines = scans(statement.replace("{ids}", "0,1,2"), {"at": NOON, "day": NOON.date()})
    assert [line for line in lines if not rows_before_them & set(re.findall(r"\w+", line))] == []


@pytest.mark.parametrize(("statement", "keys"), [(OUT_NOW, [1]), (STANDING, [1, 2])])
def test_first_row_is_found_without_a_scan(cast: Cast, statement: str, keys: list[int]) -> None:
    assert scans(statement, keys) == []


@pytest.mark.django_db
def test_asks_nothing_about_no_one() -> None:
    with queries() as sent:
        assert plain_rows(ATTEMPTS, [], NOON) == []
    assert sent == []


def test_moment_is_read_to_the_microsecond(floor: Floor) -> None:
    at = NOON + 3 * TICK
    student = floor.cast.student
    signed(student, floor.saw_2, floor.cast.teacher, at=at)
    assert evidence_of([student.pk], floor.cast.school, at - TICK, counted=())[student.pk].sign_offs == ()
    (fact,) = evidence_of([student.pk], floor.cast.school, at, counted=())[student.pk].sign_offs
    row = standing_sign_off(student, floor.saw_2)
    assert row is not None
    assert (fact.machine, fact.kind, fact.at, fact.by) == (row.machine_id, row.kind_id, row.at, row.by.name)
    assert fact.at == at
    assert fact.at.utcoffset() == timedelta(0)


def test_pass_counts_from_hand_in_until_it_is_voided(floor: Floor) -> None:
    student = floor.cast.student
    floor.make_ready(student)
    attempt = student.attempts.filter(bank=floor.saw_bank).get()
    attempt.voided_at, attempt.voided_by, attempt.void_reason = NOON, floor.cast.teacher, "Helped by a friend"
    attempt.save(update_fields=["voided_at", "voided_by", "void_reason"])

    def known(at):
        passes, tries = attempted([student.pk], at)
        return [quiz_pass.at for quiz_pass in passes if quiz_pass.bank == floor.saw_bank.pk], (
            student.pk,
            floor.saw_bank.pk,
        ) in tries

    assert known(attempt.started_at - TICK) == ([], False)
    assert known(attempt.handed_in_at - TICK) == ([], True)
    assert known(attempt.handed_in_at) == ([attempt.handed_in_at], True)
    assert known(NOON - TICK) == ([attempt.handed_in_at], True)
    assert known(NOON) == ([], True)


def test_keys_are_numbers_and_nothing_else(cast: Cast) -> None:
    with pytest.raises(ValueError, match="invalid literal"):
        plain_rows(ATTEMPTS, ["1) OR (1=1"], NOON)  # type: ignore[list-item]
