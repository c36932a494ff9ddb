"""Pages in a small district and in a large one: what a page costs may not grow with other schools.

    python -m tests.bench.district [--sizes 1,10] [--rounds 7]
    python -m tests.bench.district --sizes 1,10,100        the whole district: some ten minutes and 5 GB

Prints a table, page by page: processor time and statements at each size, and the ratio of the largest to the smallest.
Each size is a database of its own in a process of its own, and the same school is asked in all of them
(tests/bench/measuring/seeding.py).
"""

import argparse
import itertools
import json
import os
import subprocess
import sys
import tempfile
import time
import uuid
from collections.abc import Callable
from pathlib import Path
from typing import Any

from tests.bench.measuring.timing import cpu_seconds

AIM = 1.3  # of the ratio


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--sizes", default="1,10", help="percent of the whole district")
    parser.add_argument("--rounds", type=int, default=7)
    parser.add_argument("--json", type=Path, help="keep the figures in this file too")
    parser.add_argument("--one", type=int, help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.one:
        json.dump(_measured(options.one, options.rounds), sys.stdout)
        return
    sizes = [int(size) for size in options.sizes.split(",")]
    figures = {}
    for size in sizes:
        command = [sys.executable, "-W", "ignore", "-m", "tests.bench.district", "--one", str(size)]
        done = subprocess.run([*command, "--rounds", str(options.rounds)], capture_output=True, text=True, check=False)
        if done.returncode:
            raise SystemExit(done.stderr[-3000:])
        figures[size] = json.loads(done.stdout)
    if options.json:
        options.json.write_text(json.dumps(figures, indent=2))
    print(_table(figures, sizes))


def _table(figures: dict[int, Any], sizes: list[int]) -> str:
    pages = [page for page in figures[sizes[0]] if page != "seeded"]
    lines = ["| page | " + " | ".join(f"{size} %: ms, statements" for size in sizes) + " | ratio |"]
    lines.append("|---|" + "---|" * (len(sizes) + 1))
    for page in pages:
        cells = [f"{figures[size][page]['ms']}, {figures[size][page]['statements']}" for size in sizes]
        ratio = figures[sizes[-1]][page]["ms"] / figures[sizes[0]][page]["ms"]
        lines.append(f"| {page} | " + " | ".join(cells) + f" | {ratio:.2f}{'' if ratio <= AIM else ' over the aim'} |")
    seeded = [f"{size} %: {figures[size]['seeded']}" for size in sizes]
    return "\n".join([*lines, "", *seeded])


def _measured(percent: int, rounds: int) -> dict[str, Any]:
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {
            "SHOPSAFE_VAR": folder,
            "DJANGO_SETTINGS_MODULE": "tests.bench.bare.settings",
            "DATABASE_URL": f"sqlite:///{Path(folder) / 'bench.sqlite3'}",
            "SITE_URL": "http://127.0.0.1:8000",
        }
        import django
        from django.core.management import call_command
        from django.db import connection
        from django.utils import timezone

        from tests.bench.measuring.seeding import seed

        django.setup()
        call_command("migrate", verbosity=0, run_syncdb=True)
        start = time.monotonic()
        asked = seed(percent, timezone.now())
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")
        from shopsafe.logbook.queries import size

        figures: dict[str, Any] = {
            "seeded": {"entries": size(), "seconds": round(time.monotonic() - start)},
        }
        for page, ask in _pages(asked).items():
            figures[page] = _figure(ask, rounds)
        return figures


def _figure(ask: Callable[[], object], rounds: int) -> dict[str, Any]:
    from tests.counting import queries

    ask()
    with queries() as sent:
        ask()
    seconds = min(cpu_seconds(ask) for _ in range(rounds))
    return {"ms": round(seconds * 1000, 1), "statements": len(sent)}


def _pages(asked: Any) -> dict[str, Callable[[], object]]:
    from django.core.handlers.wsgi import WSGIHandler
    from django.urls import reverse

    from machines.evidence.file import evidence_file
    from shopsafe.logbook.acts.take_checkpoint import take_checkpoint
    from tests.bench.measuring.asking import get, our_cookie

    site = WSGIHandler()
    take_checkpoint()
    pages = [
        ("bench", asked.student, "bench", []),
        ("quizzes", asked.student, "quizzes", []),
        ("machine, student", asked.student, "machine", [asked.machine.pk]),
        ("machine, teacher", asked.teacher, "machine", [asked.machine.pk]),
        ("Today", asked.teacher, "today", []),
        ("register of a class", asked.teacher, "register", [asked.section.pk]),
        ("people of a class", asked.teacher, "class-people", [asked.section.pk]),
        ("logbook, teacher", asked.teacher, "logbook", []),
        ("whole school", asked.office, "school-standings", []),
    ]
    cookies = {person.pk: our_cookie(person) for person in (asked.student, asked.teacher, asked.office)}

    def page(person: Any, path: str) -> Callable[[], object]:
        return lambda: get(site, path, cookies[person.pk])

    asks: dict[str, Callable[[], object]] = {
        name: page(person, reverse(route, args=args)) for name, person, route, args in pages
    }
    asks["evidence of a student"] = lambda: evidence_file(asked.student)
    asks["class list of 36"] = _class_list(asked)
    return asks


def _class_list(asked: Any) -> Callable[[], object]:
    from shopsafe.school.rosters.acts import import_roster
    from shopsafe.school.rosters.rules import read_pasted

    numbers = itertools.count(900_000)

    def take_over() -> None:
        some = list(itertools.islice(numbers, 36))
        text = "Name,ID\n" + "".join(f"{_word(number)} Ashby,{number}\n" for number in some)
        done = import_roster(section=asked.section, sheet=read_pasted(text), key=uuid.uuid4(), by=asked.teacher)
        if done.added != len(some):
            raise SystemExit("the class list was not taken over whole")

    return take_over


def _word(number: int) -> str:
    """A name for each number: 907 is "Jah"."""
    return "".join(chr(ord("a") + int(digit)) for digit in str(number)).title()


if __name__ == "__main__":
    main()
