"""Every page is asked for on one school day, within the term of the factories: so a test says the same next year."""

from collections.abc import Iterator

import pytest
import time_machine
from django.test import Client

from tests.factories.machines import NOON
from tests.pages.white_space import show_pages_as_a_browser


@pytest.fixture(autouse=True)
def pages_as_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    show_pages_as_a_browser(Client, monkeypatch)


@pytest.fixture(autouse=True)
def school_day() -> Iterator[None]:
    with time_machine.travel(NOON):
        yield
