"""The rows of a statement, a batch in memory at a time, and the reader of their JSON."""

import json
from collections.abc import Iterator, Sequence
from contextlib import ExitStack

from django.db import connection

BATCH = 2_048
READ = json.JSONDecoder().raw_decode  # canonical bytes have no white space to look for around them


def batches(statement: str, stack: ExitStack, parameters: Sequence[int] = ()) -> Iterator[list[tuple]]:
    """On PostgreSQL inside a transaction: a cursor on the server lives in one."""
    cursor = stack.enter_context(connection.chunked_cursor())
    cursor.execute(statement, parameters)
    return iter(lambda: cursor.fetchmany(BATCH), [])
