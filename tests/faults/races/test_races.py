"""Every pair of acts once at the same moment, at two servers: it comes out as if one had come after the other."""

import os
import random
from datetime import date

import pytest
from django.db import connection

from tests.faults.races.orders import Orders, meeting, read
from tests.faults.races.run import all_pairs, race_all
from tests.faults.races.servers import two_servers

pytestmark = pytest.mark.served

SEED = int(os.environ.get("RACES_SEED", date.today().toordinal()))  # another choice of pairs each day


def test_orders_are_kept_for_every_pair() -> None:
    orders = read()
    assert list(orders) == all_pairs(), "run: python -m tests.faults.races.run --write"
    assert all(1 <= len(outcomes) <= 2 for outcomes in orders.values())
    assert not [outcome for outcomes in orders.values() for outcome in outcomes if outcome.startswith(("5", "... 5"))]


def orders() -> Orders:
    """On PostgreSQL, where transactions run beside each other, every pair that meets, and a twelfth of all others; on
    SQLite, where one writes at a time, half of the pairs that meet. `make races` sends all of them, on both engines."""
    every, dice = read(), random.Random(SEED)
    meets = meeting(every)
    if connection.vendor == "sqlite":
        chosen = dice.sample(list(meets), len(meets) // 2)
    else:
        others = [names for names in every if names not in meets]
        chosen = [*meets, *dice.sample(others, len(others) // 12)]
    return {names: every[names] for names in chosen}


@pytest.mark.django_db(transaction=True)
def test_two_acts_at_once_come_out_as_one_after_the_other(capsys: pytest.CaptureFixture[str]) -> None:
    with two_servers() as servers:
        report = race_all(servers, orders(), rounds=1, seed=SEED)
    with capsys.disabled():
        print(f"\n{report.summary}")
    assert report.wrong == [], report.summary
    assert report.beside > report.races / 2, f"hardly any of them met: {report.summary}"
