"""No statement of these pages reads a whole table that grows with the district."""

import re
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from shopsafe.logbook.acts.take_checkpoint import take_checkpoint
from shopsafe.logbook.evidence import evidence
from shopsafe.logbook.rules import subjects
from tests.counting import Queries, scans
from tests.factories.logbook import note
from tests.factories.machines import Floor
from tests.queries.test_page_queries import page_args

GROW = (
    "school_session", "school_person", "school_enrolment", "quizzes_attempt", "quizzes_answer", "machines_signoff",
    "machines_hold", "logbook_entry", "logbook_body", "logbook_listing", "logbook_subject", "school_safetyagreement",
)  # fmt: skip


class Asked(Queries):
    """The statements with their values."""

    def __init__(self) -> None:
        self.values: list[tuple[str, Any]] = []

    def __call__(self, execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        if not many and sql.lstrip().startswith("SELECT"):
            self.values.append((sql, params))
        return execute(sql, params, many, context)


def scanned(asked: Asked) -> list[str]:
    """The plan's lines about a table that grows. SQLite calls a table by its alias."""
    found = []
    for sql, values in asked.values:
        if "WHERE" not in sql and sql.endswith("LIMIT 1"):
            continue  # the first or the last row by its key
        aliases = dict(re.findall(r'(?:FROM|JOIN) "?(\w+)"? (?:AS )?"?(\w+)"?', sql))
        named = {*GROW, *(alias for table, alias in aliases.items() if table in GROW)}
        found += [line for line in scans(sql, values or ()) if named & set(re.findall(r"\w+", line))]
    return found


@pytest.mark.parametrize(
    ("who", "page"),
    [
        ("student", "bench"), ("student", "quizzes"), ("student", "machine"), ("teacher", "machine"),
        ("teacher", "today"), ("teacher", "register"), ("teacher", "logbook"), ("office", "school-standings"),
        ("teacher", "class-people"), ("teacher", "floor"), ("teacher", "plan"), ("teacher", "reports"),
        ("teacher", "inspections"), ("teacher", "incidents"), ("teacher", "bank-figures"),
        ("teacher", "students-waiting"), ("teacher", "prints"), ("office", "office"),
    ],
)  # fmt: skip
def test_page_scans_no_table_that_grows(floor: Floor, who: str, page: str) -> None:
    cast = floor.cast
    floor.make_cleared(cast.student)
    note(cast.student)
    args = page_args(floor, page)
    client = Client()
    client.force_login(getattr(cast, who))
    client.get(reverse(page, args=args))
    with connection.execute_wrapper(asked := Asked()):
        assert client.get(reverse(page, args=args)).status_code == 200
    assert scanned(asked) == []


def test_evidence_scans_no_table_that_grows(floor: Floor) -> None:
    student = floor.cast.student
    note(student)
    mark = take_checkpoint()
    with connection.execute_wrapper(asked := Asked()):
        evidence(subjects.person(student.pk), subject=student.as_record(), checkpoint=mark)
    assert asked.values
    assert scanned(asked) == []
