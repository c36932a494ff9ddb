"""Speed of a backup while people write, beside its floor: copying the file and bringing it onto the disk.

    python -m tests.bench.backup [--megabytes 200] [--rounds 3]

Prints one JSON object. Another process writes one row after the other, each onto the disk, as fast as it can; `writes`
counts what it wrote by then, and an error of its ends the measurement. The floor knows no other process: a file that
is copied while someone writes is no backup.
"""

import argparse
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from contextlib import closing
from pathlib import Path
from typing import Any

WRITER = """
import sys
from shopsafe import sqlite
sqlite.use_current_sqlite()
import sqlite3
from pathlib import Path
file, stop = Path(sys.argv[1]), Path(sys.argv[2])
live = sqlite3.connect(file, timeout=20, isolation_level=None)
live.execute("PRAGMA synchronous=FULL")
count = 0
while not stop.exists():
    live.execute("INSERT INTO written VALUES (randomblob(1000))")
    count += 1
print(count)
"""


def filled(file: Path, megabytes: int) -> None:
    import sqlite3

    with closing(sqlite3.connect(file, isolation_level=None)) as live:
        live.execute("PRAGMA journal_mode=WAL")
        live.execute("CREATE TABLE written (what)")
        live.execute("BEGIN")
        for _ in range(megabytes):
            live.executemany("INSERT INTO written VALUES (randomblob(?))", [(1_000,)] * 1_000)
        live.execute("COMMIT")


def floor(source: Path, to: Path) -> float:
    start = time.perf_counter()
    shutil.copyfile(source, to)
    with to.open("rb") as written:
        os.fsync(written.fileno())
    return time.perf_counter() - start


def beside_a_writer(source: Path, to: Path) -> tuple[float, int]:
    from shopsafe.database import backups

    stop = to.with_suffix(".stop")
    command = [sys.executable, "-c", WRITER, str(source), str(stop)]
    writer = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    time.sleep(1)
    start = time.perf_counter()
    backups.copy(source, to)
    seconds = time.perf_counter() - start
    stop.touch()
    said, _ = writer.communicate(timeout=60)
    if writer.returncode:
        raise SystemExit("the writer was kept out")
    stop.unlink()
    return seconds, int(said)


def measured(folder: Path, megabytes: int, rounds: int) -> dict[str, Any]:
    source = folder / "live.sqlite3"
    filled(source, megabytes)
    floors, reals, writes = [], [], 0
    for number in range(rounds):
        floors.append(floor(source, folder / f"floor{number}"))
        seconds, count = beside_a_writer(source, folder / f"backup{number}")
        reals.append(seconds)
        writes += count
        for name in ("floor", "backup"):
            (folder / f"{name}{number}").unlink()
    return {
        f"backup of {megabytes} MB beside a writer": {
            "ratio": round(min(reals) / min(floors), 2),
            "floor_s": round(min(floors), 2),
            "real_s": round(min(reals), 2),
            "writes": writes,
        }
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--megabytes", type=int, default=200)
    parser.add_argument("--rounds", type=int, default=3)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"SHOPSAFE_VAR": folder, "DJANGO_SETTINGS_MODULE": "shopsafe.settings"}
        import django

        django.setup()
        json.dump(measured(Path(folder), options.megabytes, options.rounds), sys.stdout, indent=2)


if __name__ == "__main__":
    main()
