"""Speed of handing in, signing off and signing in, each beside a bare Django view.

    python -m tests.bench.bare.pressing [--rounds 7] [--times 20] [--profile NAME]

Prints one JSON object: processor time of one request, SQLite with every commit on the disk. The floors are in
tests/bench/bare: Django's own sessions, the same rows read, one or two rows written in `atomic()`, a redirect; they ask
no rule, write no chain and lock no one. Every press is a new one: another attempt, another student. "signing in" hashes
the code on both sides; "without the hash" the code is kept under MD5, so that the rest is seen. `hash_ms` is one
hash. `queries` counts the statements.
"""

import argparse
import json
import os
import sys
import tempfile
import uuid
from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

from tests.bench.measuring.asking import SECRET, bare_cookie, our_cookie, send_form
from tests.bench.measuring.timing import cpu_ratio, cpu_seconds
from tests.bench.saving import print_profile, statements

type Press = Callable[[], object]

NAMES = ("handing in", "signing off", "signing in", "signing in, without the hash")
CLASS = 30
CODE = "amber tulip river stone"
MD5 = "django.contrib.auth.hashers.MD5PasswordHasher"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=7)
    parser.add_argument("--times", type=int, default=20)
    parser.add_argument("--profile", choices=NAMES)
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
        figures: dict[str, Any] = {}
        for name, floor, real in _pairs(2 * options.times * options.rounds + 4):
            floor(), real()
            if options.profile == name:
                print_profile(real, options.times)
            elif not options.profile:
                figures[name] = cpu_ratio(floor, real, times=options.times, rounds=options.rounds)
                figures[name] |= {"queries": statements(real), "floor_queries": statements(floor)}
        if figures:
            figures["signing in"]["hash_ms"] = _hash_ms()
            json.dump(figures, sys.stdout, indent=2)


def _pairs(presses: int) -> Iterator[tuple[str, Press, Press]]:
    from django.core.handlers.wsgi import WSGIHandler
    from django.test.utils import override_settings

    from shopsafe.serving.memory import keep_loaded
    from tests.bench.bare.settings import BARE
    from tests.cast import make_cast
    from tests.factories.machines import make_floor

    ours = WSGIHandler()
    with override_settings(**BARE):
        bare_site = WSGIHandler()
    floor = make_floor(make_cast())
    keep_loaded()
    yield "handing in", *_handing_in(floor, bare_site, ours, presses)
    yield "signing off", *_signing_off(floor, bare_site, ours, presses)
    yield "signing in", *_signing_in(floor, bare_site, ours)
    with override_settings(PASSWORD_HASHERS=[MD5]):
        yield "signing in, without the hash", *_signing_in(floor, bare_site, ours)


def _students(floor: Any, count: int) -> Iterator[tuple[Any, Any]]:
    """Students with their shops: a class of thirty in each."""
    from tests.factories.people import EnrollmentFactory, SectionFactory, ShopFactory

    for number in range(count):
        if number % CLASS == 0:
            shop = ShopFactory(school=floor.cast.school)
            shop.teachers.add(floor.cast.teacher)
            section = SectionFactory(shop=shop, term=floor.cast.section.term)
        yield EnrollmentFactory(section=section).student, shop


def _handing_in(floor: Any, bare_site: Any, ours: Any, presses: int) -> tuple[Press, Press]:
    from django.utils import timezone

    from quizzes.attempts.acts import start_attempt
    from tests.factories.banks import answer_all, bank_text, published

    now = timezone.now()
    bank = published(floor.cast.teacher, bank_text(code="handed-in"), at=now - timedelta(days=1)).pk
    attempts = []
    for student, _ in _students(floor, presses):
        attempt = start_attempt(student=student, bank=bank, at=now)
        answer_all(attempt, now)
        attempts.append((our_cookie(student), f"/attempts/{attempt.pk}/hand-in/", student, attempt.pk))
    bare = bare_cookie(attempts[0][2]), f"/bare/{attempts[0][3]}/hand-in/"
    waiting = iter(attempts)

    def press_ours() -> None:
        cookie, path, *_ = next(waiting)
        send_form(ours, path, cookie, {})

    return lambda: send_form(bare_site, bare[1], bare[0], {}), press_ours


def _signing_off(floor: Any, bare_site: Any, ours: Any, presses: int) -> tuple[Press, Press]:
    from django.utils import timezone

    from tests.factories.machines import MachineFactory, agreed, passed

    begun = timezone.now() - timedelta(days=1)
    demonstrations, machines = [], {}
    for student, shop in _students(floor, presses):
        if shop.pk not in machines:
            machines[shop.pk] = MachineFactory(shop=shop, kind=floor.saw, number=1).pk
        agreed(student, begun.year, begun)
        for bank in (floor.general, floor.saw_bank):
            passed(student, bank, begun)
        demonstrations.append(f"{machines[shop.pk]}/sign-off/{student.pk}/")
    waiting = iter(demonstrations)
    bare, our = bare_cookie(floor.cast.teacher), our_cookie(floor.cast.teacher)
    points = {"point": floor.saw.demonstration}

    def press_ours() -> None:
        send_form(ours, f"/machines/{next(waiting)}", our, points | {"tap": str(uuid.uuid4())})

    return lambda: send_form(bare_site, f"/bare/{demonstrations[0]}", bare, points), press_ours


def _signing_in(floor: Any, bare_site: Any, ours: Any) -> tuple[Press, Press]:
    from django.contrib.auth.hashers import make_password

    teacher = floor.cast.teacher
    teacher.password = make_password(CODE)
    teacher.save(update_fields=["password"])
    cookie, fields = f"csrf={SECRET}", {"name": teacher.sign_in_key, "code": CODE}
    return (
        lambda: send_form(bare_site, "/bare/sign-in/", cookie, fields),
        lambda: send_form(ours, "/sign-in/", cookie, fields),
    )


def _hash_ms() -> float:
    from django.contrib.auth.hashers import check_password, make_password

    kept = make_password(CODE)
    return round(min(cpu_seconds(lambda: check_password(CODE, kept), 5) for _ in range(5)) * 1000, 2)


if __name__ == "__main__":
    main()
