"""Thirty connections at two servers of one database: how many requests go wrong. None should.

    python -m tests.faults.crowd [--seconds 20]
    .ci/with-postgres.sh .venv/bin/python -m tests.faults.crowd

Prints one JSON object. 24 students save answers and six teachers' screens open pages, each as soon as the last request
is answered. "errors" counts every answer but 200 and every connection that was dropped, with what it was.
"""

import argparse
import http.client
import itertools
import json
import os
import statistics
import sys
import threading
import time
from collections import Counter
from collections.abc import Callable, Sequence
from datetime import timedelta
from urllib.parse import urlencode

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")

STUDENTS, SCREENS = 24, 6

type Ask = Callable[[http.client.HTTPConnection], None]


class WrongAnswer(Exception):
    """A status that is not 200, and the address that gave it."""


def main() -> None:
    parser = argparse.ArgumentParser(description=str(__doc__).splitlines()[0])
    parser.add_argument("--seconds", type=float, default=20)
    options = parser.parse_args()
    import django

    django.setup()
    from django.db import connection

    from tests.database import migrated
    from tests.faults.races.servers import two_servers

    with migrated():
        students, screens = askers()
        with two_servers() as servers:
            ports = [line.connection.port for line in servers.lines]
            figures = crowd(ports, students + screens, options.seconds)
    json.dump({f"thirty connections on {connection.vendor}": figures}, sys.stdout, indent=2)


def askers() -> tuple[list[Ask], list[Ask]]:
    """What each student saves, and which pages each screen opens in turn."""
    from django.db import connection
    from django.utils import timezone

    from quizzes.attempts.acts import start_attempt
    from quizzes.questions.form_data import lines_of
    from tests.bench.floor import floor_in_use
    from tests.bench.measuring.asking import our_cookie
    from tests.factories.banks import bank_text, published
    from tests.factories.people import EnrollmentFactory

    floor, now = floor_in_use(), timezone.now()
    bank = published(floor.cast.teacher, bank_text(code="crowded"), at=now - timedelta(days=1))
    students = []
    for _ in range(STUDENTS):
        student = EnrollmentFactory(section=floor.cast.section).student
        attempt = start_attempt(student=student, bank=bank.pk, at=now)
        answers = itertools.cycle([option.id for option in lines_of(attempt.form)[0].options])
        students.append(saver(f"/attempts/{attempt.pk}/questions/1/save/", our_cookie(student), answers))
    section, shop = floor.cast.section.pk, floor.cast.shop.pk
    pages = ["/today/", f"/classes/{section}/register/", f"/shops/{shop}/floor/", f"/people/{section}/", "/machines/"]
    cookie = our_cookie(floor.cast.teacher)
    connection.close()
    return students, [reader(pages[place:] + pages[:place], cookie) for place in range(SCREENS)]


def saver(path: str, cookie: str, answers: "itertools.cycle[str]") -> Ask:
    from tests.bench.measuring.asking import SECRET

    headers = {"Cookie": cookie, "Accept": "application/json", "X-CSRFToken": SECRET}
    headers |= {"Content-Type": "application/x-www-form-urlencoded"}

    def save(line: http.client.HTTPConnection) -> None:
        line.request("POST", path, urlencode({"answer": next(answers)}), headers)
        read(line, path)

    return save


def reader(pages: Sequence[str], cookie: str) -> Ask:
    in_turn = itertools.cycle(pages)

    def open_page(line: http.client.HTTPConnection) -> None:
        path = next(in_turn)
        line.request("GET", path, headers={"Cookie": cookie})
        read(line, path)

    return open_page


def read(line: http.client.HTTPConnection, path: str) -> None:
    answer = line.getresponse()
    answer.read()
    if answer.status != 200:
        raise WrongAnswer(f"{path}: {answer.status}")


def crowd(ports: Sequence[int], all_askers: Sequence[Ask], seconds: float) -> dict[str, object]:
    """Every asker on a connection of its own, at the servers in turn, until the time is over."""
    took: list[float] = []
    errors: Counter[str] = Counter()
    ends = time.monotonic() + seconds

    def run(ask: Ask, port: int) -> None:
        line = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
        while (begins := time.monotonic()) < ends:
            try:
                ask(line)
                took.append(time.monotonic() - begins)
            except (WrongAnswer, OSError, http.client.HTTPException) as error:
                errors[f"{type(error).__name__}: {error}"] += 1
                line.close()
        line.close()

    threads = [
        threading.Thread(target=run, args=(ask, ports[place % len(ports)])) for place, ask in enumerate(all_askers)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return {
        "requests": len(took) + errors.total(),
        "errors": dict(errors),
        "p95_ms": round(statistics.quantiles(took, n=20)[-1] * 1000, 1),
        "seconds": seconds,
    }


if __name__ == "__main__":
    main()
