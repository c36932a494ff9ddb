"""Speed of the logbook beside its floors: verify against reading the same rows, append against a bare write.

    python -m tests.bench.logbook [--entries 1000000] [--rounds 5]

Prints one JSON object. Each figure is the median of the ratios of rounds in which floor and real thing take turns
(A B B A): verify in processor time, append in seconds, since it waits for the disk. The database is a new
SQLite file in a folder of its own, on the disk that TMPDIR names.
"""

import argparse
import json
import os
import resource
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from datetime import UTC, datetime, timedelta
from itertools import batched
from pathlib import Path
from typing import Any

AT = datetime(2026, 9, 14, 13, 5, 9, tzinfo=UTC)
COLUMNS = {
    "entry": ("seq", "prev", "header", "commitment", "hash"),
    "body": ("seq", "salt", "payload"),
    "listing": ("seq", "school", "kind", "at"),
    "subject": ("seq", "role", "key"),
}
SIGN_OFF = (
    "INSERT INTO machines_signoff (id, school_id, student_id, machine_id, kind_id, by_id, at, points, tap, entry_id, "
    "withdrawn_reason) VALUES (?, 1, ?, ?, 1, 1, ?, ?, ?, ?, '')"
)
POINTS = ["Lowers the guard to the stock before starting", "Stands out of the line of the cut"] * 2


def entries(count: int) -> Iterator[dict[str, list[tuple]]]:
    """Sign-offs on 40 machines, chained."""
    from shopsafe.logbook.rules import chain

    prev = chain.FIRST_PREV
    for seq in range(1, count + 1):
        at = AT + timedelta(seconds=seq)
        student, machine = seq + 1, seq % 40
        words = {
            "by": {"id": 1, "name": "Teacher One"},
            "machine": {"id": machine, "name": f"Machine {machine}"},
            "machine_kind": {"id": 1, "name": "Band saw"},
            "points": POINTS,
            "sign_off": seq,
            "student": {"id": student, "name": f"Student {student}"},
        }
        payload = plain_json(words)
        header = plain_json({"at": chain.utc_second(at), "kind": "signoff.made", "school": 1, "version": chain.VERSION})
        if seq == 1:
            assert payload == chain.canonical(words)
            assert header == chain.header_bytes(kind="signoff.made", school=1, at=at)
        salt = os.urandom(32)
        commitment = chain.commitment(salt, payload)
        hashed = chain.entry_hash(seq, prev, header, commitment)
        yield {
            "entry": [(seq, prev, header, commitment, hashed)],
            "body": [(seq, salt, payload)],
            "listing": [(seq, 1, "signoff.made", f"{at:%Y-%m-%d %H:%M:%S}")],
            "subject": [
                (seq, "student", f"person:{student}"),
                (seq, "machine", f"machine:{machine}"),
                (seq, "machine_kind", "kind:1"),
                (seq, "by", "person:1"),
            ],
            "sign_off": [(seq, student, machine, f"{at:%Y-%m-%d %H:%M:%S}", json.dumps(POINTS), f"{seq:032x}", seq)],
        }
        prev = hashed


def plain_json(value: Any) -> bytes:
    """Canonical bytes of keys and values in ASCII, ten times as fast: a million entries are written."""
    return json.dumps(value, sort_keys=True, separators=(",", ":")).encode()


def fill(count: int) -> None:
    """The triggers look at each row; a million go in without them, and then they stand again."""
    from django.db import connection, transaction

    from tests.logbook.logbook_bypass import lifting
    from tests.logbook.record import run

    statements = {
        table: f"INSERT INTO logbook_{table} ({', '.join(columns)}) VALUES ({', '.join(['?'] * len(columns))})"  # noqa: S608
        for table, columns in COLUMNS.items()
    }
    statements["sign_off"] = SIGN_OFF
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA foreign_keys = OFF")  # there are no people and no machines
    down, up = lifting(connection)
    with transaction.atomic():
        run(down)
        for some in batched(entries(count), 1000, strict=False):
            for table, statement in statements.items():
                connection.connection.executemany(statement, [row for entry in some for row in entry[table]])
        run(up)


def read_rows() -> None:
    """The floor of verify: the same rows, fetched and dropped; entries, bodies, subjects and records. Bodies are read
    twice, as they are there: once for the chain, and once it holds for what they say."""
    from shopsafe.logbook.verification.batches import batches
    from shopsafe.logbook.verification.declared import DECLARED
    from shopsafe.logbook.verification.listed import BODIES, SUBJECTS
    from shopsafe.logbook.verification.verify import LINKS

    with ExitStack() as stack:
        for statement, parameters in ((LINKS, []), (BODIES, [2**31]), (SUBJECTS, [0, 2**31])):
            for _ in batches(statement, stack, parameters):
                pass
        for table in DECLARED.values():
            for _ in batches(table.statement("sqlite"), stack):
                pass


def verify_all() -> None:
    from shopsafe.logbook.verification.verify import verify

    verdict = verify()
    assert verdict.holds, verdict.says_wrong


def bare_write(path: Path, size: int) -> None:
    """The floor of append: as many bytes to a file, and onto the disk."""
    with path.open("ab") as file:
        file.write(b"x" * size)
        file.flush()
        os.fdatasync(file.fileno())


def append_one() -> None:
    from django.db import transaction

    from shopsafe.logbook.append import append

    with transaction.atomic(durable=True):
        append(
            kind="signoff.made",
            school=1,
            at=AT,
            payload={"student": {"id": 1, "name": "Student 1"}, "points": ["Lowers the guard"] * 5},
        )


type Clock = Callable[[], float]


def seconds(deed: Callable[[], None], clock: Clock = time.perf_counter) -> float:
    start = clock()
    deed()
    return clock() - start


def ratio(
    floor: Callable[[], None], real: Callable[[], None], rounds: int, clock: Clock = time.perf_counter
) -> dict[str, float]:
    ratios, floors, reals = [], [], []
    for _ in range(rounds):
        a, b, c, d = (seconds(deed, clock) for deed in (floor, real, real, floor))
        floors.append((a + d) / 2)
        reals.append((b + c) / 2)
        ratios.append((b + c) / (a + d))
    return {
        "ratio": round(statistics.median(ratios), 2),
        "floor_s": round(statistics.median(floors), 4),
        "real_s": round(statistics.median(reals), 4),
    }


def times(count: int, deed: Callable[[], None]) -> Callable[[], None]:
    def many() -> None:
        for _ in range(count):
            deed()

    return many


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--entries", type=int, default=1_000_000)
    parser.add_argument("--rounds", type=int, default=5)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"SHOPSAFE_VAR": folder, "DJANGO_SETTINGS_MODULE": "shopsafe.settings"}
        os.environ.pop("DATABASE_URL", None)
        import django
        from django.core.management import call_command

        django.setup()
        call_command("migrate", verbosity=0)
        fill(options.entries)
        before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        verifying = ratio(read_rows, verify_all, options.rounds, time.process_time)
        grown = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before
        bare = times(50, lambda: bare_write(Path(folder) / "floor", 4096))
        appending = ratio(bare, times(50, append_one), options.rounds)
    figures = {"entries": options.entries, "verify": verifying, "verify_grows_kb": grown, "append_50": appending}
    json.dump(figures, sys.stdout, indent=2)


if __name__ == "__main__":
    main()
