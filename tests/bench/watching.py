"""What screens that watch a floor cost the students who save answers at the same server.

    python -m tests.bench.watching [--rounds 3] [--seconds 20]

Prints one JSON object. 36 students each save an answer a second, timed from the moment at which it is due: alone, and
while six tablets and a projector ask for the floor's news every 1.5 seconds, in turns (A B B A). "ratio" is the middle
of the ratios of the 95th percentiles, round by round. Any answer but 200 and 204 ends the measurement: a server that
fails looks fast.
"""

import argparse
import http.client
import itertools
import json
import os
import statistics
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any
from urllib.parse import quote, urlencode

from tests.bench.floor import floor_in_use
from tests.bench.measuring.asking import SECRET, our_cookie
from tests.browser.server import Server

STUDENTS, SCREENS = 36, 7
SAVE_EVERY, ASK_EVERY = 1.0, 1.5  # seconds

type Asking = Callable[[http.client.HTTPConnection], None]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--seconds", type=float, default=20)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        server = Server(var=Path(folder) / "var", database=Path(folder) / "bench.sqlite3")
        server.var.mkdir()
        os.environ |= server.environment()
        import django
        from django.core.management import call_command

        django.setup()
        call_command("migrate", verbosity=0)
        call_command("collectstatic", verbosity=0, interactive=False)
        savers, watchers = _askers()
        server.start()
        try:
            figures = _rounds(server.port, savers, watchers, options.rounds, options.seconds)
        finally:
            server.stop()
        json.dump({"saves beside a watched floor": figures}, sys.stdout, indent=2)


def _askers() -> tuple[list[Asking], list[Asking]]:
    """What each student sends, and what each screen asks."""
    from django.db import connection
    from django.utils import timezone

    from quizzes.attempts.acts import start_attempt
    from quizzes.questions.form_data import lines_of
    from tests.factories.banks import bank_text, published
    from tests.factories.people import EnrollmentFactory

    floor, now = floor_in_use(), timezone.now()
    text = bank_text(code="watched")
    bank = published(floor.cast.teacher, text, at=now - timedelta(days=1))
    savers = []
    for _ in range(STUDENTS):
        student = EnrollmentFactory(section=floor.cast.section).student
        attempt = start_attempt(student=student, bank=bank.pk, at=now)
        given = itertools.cycle([option.id for option in lines_of(attempt.form)[0].options])
        savers.append(_saver(f"/attempts/{attempt.pk}/questions/1/save/", our_cookie(student), given))
    screen = our_cookie(floor.cast.teacher)
    watchers = [_watcher(f"/shops/{floor.cast.shop.pk}/floor/?part=room&seen=", screen) for _ in range(SCREENS)]
    connection.close()
    return savers, watchers


def _saver(path: str, cookie: str, given: Any) -> Asking:
    headers = {"Cookie": cookie, "Accept": "application/json", "X-CSRFToken": SECRET}
    headers |= {"Content-Type": "application/x-www-form-urlencoded"}

    def save(line: http.client.HTTPConnection) -> None:
        line.request("POST", path, urlencode({"answer": next(given)}), headers)
        _read(line, path)

    return save


def _watcher(path: str, cookie: str) -> Asking:
    """Asks as the page does: with what it last saw, which the answer says where there is news."""
    seen = [""]

    def ask(line: http.client.HTTPConnection) -> None:
        headers = {"Cookie": cookie, "Shopsafe-By-Itself": "1"}
        line.request("GET", path + quote(seen[0]), headers=headers)
        text = _read(line, path)
        if 'data-version="' in text:
            seen[0] = text.split('data-version="')[1].split('"')[0]

    return ask


def _read(line: http.client.HTTPConnection, path: str) -> str:
    answer = line.getresponse()
    text = answer.read().decode()
    if answer.status not in (200, 204):
        raise SystemExit(f"{path}: {answer.status}")
    return text


def _rounds(
    port: int, savers: list[Asking], watchers: list[Asking], rounds: int, seconds: float
) -> dict[str, float | int]:
    alone, watched, ratios = [], [], []
    _turn(port, savers, watchers, 3)  # everything is loaded once
    for _ in range(rounds):
        a, b, c, d = (_turn(port, savers, some, seconds) for some in ([], watchers, watchers, []))
        alone += [a, d]
        watched += [b, c]
        ratios.append((b + c) / (a + d))
    return {
        "ratio": round(statistics.median(ratios), 2),
        "alone_p95_ms": round(statistics.median(alone) * 1000, 1),
        "watched_p95_ms": round(statistics.median(watched) * 1000, 1),
        "rounds": rounds,
    }


def _turn(port: int, savers: list[Asking], watchers: list[Asking], seconds: float) -> float:
    """The 95th percentile of the saves, in seconds from the moment at which each was due."""
    took: list[float] = []
    ends, faults = time.monotonic() + seconds, list[BaseException]()

    def run(asking: Asking, every: float, first: float, note: list[float]) -> None:
        line, due = http.client.HTTPConnection("127.0.0.1", port, timeout=30), time.monotonic() + first
        try:
            while due < ends:
                time.sleep(max(0.0, due - time.monotonic()))
                asking(line)
                note.append(time.monotonic() - due)
                due += every
        except BaseException as fault:  # ends the measurement, from whichever thread
            faults.append(fault)
        finally:
            line.close()

    parts = [(asking, SAVE_EVERY, SAVE_EVERY * place / len(savers), took) for place, asking in enumerate(savers)]
    parts += [(asking, ASK_EVERY, ASK_EVERY * place / len(watchers), []) for place, asking in enumerate(watchers)]
    threads = [threading.Thread(target=run, args=part) for part in parts]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    if faults:
        raise faults[0]
    return statistics.quantiles(took, n=20)[-1]


if __name__ == "__main__":
    main()
