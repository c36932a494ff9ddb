"""A waiting set of prints that several pages watch at the same moment: one worker is started for it."""

from collections.abc import Callable
from datetime import timedelta

import pytest

from machines.prints.batches import acts
from tests.acts.prints.test_print_sets import NO_POCKETS
from tests.cast import make_cast
from tests.factories.at_once import at_once
from tests.factories.machines import NOON, make_floor
from tests.factories.prints import asked_for

WATCHERS = 4


@pytest.mark.django_db(transaction=True)
def test_pages_that_ask_at_the_same_moment_start_one_worker() -> None:
    row = asked_for(make_floor(make_cast()).cast, wants=NO_POCKETS, at=NOON)
    late, answers = NOON + timedelta(seconds=30), list[bool]()

    def watch() -> Callable[[], None]:
        return lambda: answers.append(acts.want_worker(row=row, at=late))

    assert at_once(*(watch() for _ in range(WATCHERS))) == []
    assert sorted(answers) == [False] * (WATCHERS - 1) + [True]
