"""The rows of a statement, a batch in memory at a time, and the reader of their JSON."""

from collections.abc import Iterator, Sequence
from contextlib import ExitStack

import orjson
from django.db import connection

BATCH = 2_048


# A body as JSON says it, read twice as fast as by the standard library. Raises ValueError if it is none.
read_payload = orjson.loads


def batches(statement: str, stack: ExitStack, parameters: Sequence[int] = ()) -> Iterator[list[tuple]]:
    """On PostgreSQL inside a transaction: a cursor on the server lives in one."""
    cursor = stack.enter_context(connection.chunked_cursor())
    cursor.execute(statement, parameters)
    return iter(lambda: cursor.fetchmany(BATCH), [])
