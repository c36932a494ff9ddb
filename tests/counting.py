"""Counts the queries of a block, and reads how they are answered, on either engine."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import Any

from django.db import connection, transaction


class Queries(list[str]):
    def __call__(self, execute: Callable[..., Any], sql: str, params: Any, many: bool, context: Any) -> Any:
        self.append(sql)
        return execute(sql, params, many, context)


@contextmanager
def queries() -> Iterator[Queries]:
    """The statements that the block sends: `with queries() as sent: ...; assert len(sent) == 3`."""
    sent = Queries()
    with connection.execute_wrapper(sent):
        yield sent


def scans(statement: str, values: Sequence[Any] | Mapping[str, Any] = ()) -> list[str]:
    """The lines of the engine's plan that read a whole table."""
    scan = {"sqlite": "SCAN", "postgresql": "Seq Scan"}[connection.vendor]
    return [line for line in plan_of(statement, values) if scan in line]


def plan_of(statement: str, values: Sequence[Any] | Mapping[str, Any] = ()) -> list[str]:
    """The lines of the engine's plan. PostgreSQL, which reads the whole of a table of few rows, is forbidden it: what
    it then still does has no index to go by."""
    explain = {"sqlite": "EXPLAIN QUERY PLAN", "postgresql": "EXPLAIN"}[connection.vendor]
    with transaction.atomic(), connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SET LOCAL enable_seqscan = off")
        cursor.execute(f"{explain} {statement}", values)
        plan = [str(row[-1]) for row in cursor.fetchall()]
        if connection.vendor == "postgresql":
            cursor.execute("SET LOCAL enable_seqscan = on")
    assert plan
    return plan
