"""Speed of what a student presses most, beside a bare Django view: saving an answer.

    python -m tests.bench.saving [--rounds 7] [--times 200] [--profile]

Prints one JSON object: processor time of one request, from the server's call to the response, SQLite with every commit
on the disk. The floor is tests/bench/bare: Django's own sessions and sign-in, CSRF, one select, one upsert in
`atomic()` and a small template, on the same database. Both change the answer with every request.
`queries` counts the statements.
"""

import argparse
import cProfile
import itertools
import json
import os
import pstats
import sys
import tempfile
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

from tests.bench.measuring.asking import bare_cookie, our_cookie, post
from tests.bench.measuring.timing import cpu_ratio


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=7)
    parser.add_argument("--times", type=int, default=200)
    parser.add_argument("--profile", action="store_true")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {
            "SHOPSAFE_VAR": folder,
            "DJANGO_SETTINGS_MODULE": "tests.bench.bare.settings",
            "DATABASE_URL": f"sqlite:///{Path(folder) / 'bench.sqlite3'}",
            "SITE_URL": "http://127.0.0.1:8000",
        }
        import django
        from django.core.management import call_command

        django.setup()
        call_command("migrate", verbosity=0, run_syncdb=True)
        floor, real = _requests()
        if options.profile:
            print_profile(real, options.times)
            return
        figures = cpu_ratio(floor, real, times=options.times, rounds=options.rounds)
        figures |= {"queries": statements(real), "floor_queries": statements(floor)}
        json.dump({"save one answer": figures}, sys.stdout, indent=2)


def _requests() -> tuple[Callable[[], None], Callable[[], None]]:
    """One press on the bare site and one on ours, by one student on one attempt."""
    from django.core.handlers.wsgi import WSGIHandler
    from django.test.utils import override_settings
    from django.utils import timezone

    from quizzes.attempts.acts import start_attempt
    from quizzes.questions.form_data import lines_of
    from tests.bench.bare.settings import BARE
    from tests.cast import make_cast
    from tests.factories.banks import published

    cast, now = make_cast(), timezone.now()
    attempt = start_attempt(student=cast.student, bank=published(cast.teacher, at=now - timedelta(days=1)).pk, at=now)
    line = lines_of(attempt.form)[0]
    options = itertools.cycle([option.id for option in line.options])
    ours = WSGIHandler()
    with override_settings(**BARE):
        bare_site = WSGIHandler()
    bare_one, our_one = bare_cookie(cast.student), our_cookie(cast.student)
    bare_path = f"/bare/{attempt.pk}/{lines_of(attempt.form)[1].code}/save/"
    our_path = f"/attempts/{attempt.pk}/questions/1/save/"

    def press_bare() -> None:
        post(bare_site, bare_path, bare_one, {"answer": next(options)})

    def press_ours() -> None:
        post(ours, our_path, our_one, {"answer": next(options)})

    press_ours()
    return press_bare, press_ours


def statements(press: Callable[[], None]) -> int:
    from tests.counting import queries

    with queries() as sent:
        press()
    return len(sent)


def print_profile(press: Callable[[], None], times: int) -> None:
    profile = cProfile.Profile()
    profile.enable()
    for _ in range(times):
        press()
    profile.disable()
    pstats.Stats(profile).sort_stats("cumulative").print_stats(70)


if __name__ == "__main__":
    main()
