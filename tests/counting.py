"""Counts the queries of a block, on either engine."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from django.db import connection


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
