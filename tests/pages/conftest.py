"""Every page is asked for on one school day, within the term of the factories: so a test says the same next year."""

from collections.abc import Iterator

import pytest
import time_machine

from tests.factories.machines import NOON


@pytest.fixture(autouse=True)
def school_day() -> Iterator[None]:
    with time_machine.travel(NOON):
        yield
