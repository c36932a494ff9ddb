"""Speed of the floor page beside a bare page.

    python -m tests.bench.floor [--rounds 7] [--times 60]

Prints one JSON object: processor time of one floor page with sixteen machines, eight of them in use, from the server's
call to the response. "page" is beside a bare Django page with as many tiles: Django's own sessions and sign-in, one
select, a plain template. "page of the same words" is beside the floor's own template on that bare site, where all that
it says is at hand and nothing is asked or judged. `queries` counts the statements.
"""

import argparse
import json
import os
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

from tests.bench.measuring.asking import bare_cookie, get, our_cookie
from tests.bench.measuring.timing import cpu_ratio

MACHINES, IN_USE = 16, 8


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=7)
    parser.add_argument("--times", type=int, default=60)
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
        figures = _pages(options.times, options.rounds)
        json.dump(figures, sys.stdout, indent=2)


def _pages(times: int, rounds: int) -> dict[str, Any]:
    from django.core.handlers.wsgi import WSGIHandler
    from django.test.utils import override_settings

    from tests.bench.bare.settings import BARE

    floor = floor_in_use()
    cast = floor.cast
    ours = WSGIHandler()
    with override_settings(**BARE):
        bare_site = WSGIHandler()
    bare_one, our_one = bare_cookie(cast.teacher), our_cookie(cast.teacher)
    address = f"/shops/{cast.shop.pk}/floor/"

    def bare() -> None:
        get(bare_site, f"/bare/{cast.shop.pk}/floor/", bare_one)

    def same_words() -> None:
        get(bare_site, f"/bare/{cast.shop.pk}/floor/ready/", bare_one)

    def page() -> None:
        get(ours, address, our_one)

    page()
    return {
        "page": cpu_ratio(bare, page, times=times, rounds=rounds) | _sizes(bare, page),
        "page of the same words": cpu_ratio(same_words, page, times=times, rounds=rounds) | _sizes(same_words, page),
    }


def _sizes(floor: Callable[[], None], real: Callable[[], None]) -> dict[str, int]:
    return {"queries": _statements(real), "floor_queries": _statements(floor)}


def _statements(press: Callable[[], None]) -> int:
    from tests.counting import queries

    with queries() as sent:
        press()
    return len(sent)


def floor_in_use() -> Any:
    """Sixteen machines, eight of them in use, in a shop that is open now."""
    from tests.cast import make_cast
    from tests.factories.machines import MachineFactory, make_floor, signed
    from tests.factories.people import EnrollmentFactory
    from tests.factories.shop_in_use import keep_runs, opened, running

    floor = make_floor(make_cast())
    cast = floor.cast
    more = [MachineFactory(shop=cast.shop, kind=floor.saw, number=number) for number in range(4, MACHINES + 1)]
    keep_runs(cast.shop)
    opened(floor, at=None)
    for machine in more[:IN_USE]:
        student = EnrollmentFactory(section=cast.section).student
        floor.make_ready(student, machine)
        signed(student, machine, cast.teacher)
        running(floor, student, machine, at=None)
    return floor


if __name__ == "__main__":
    main()
