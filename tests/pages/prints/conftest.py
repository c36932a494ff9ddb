"""The Print page at noon of one school day, with its teacher signed in."""

from collections.abc import Iterator
from datetime import timedelta

import pytest
import time_machine
from django.test import Client

from tests.cast import Cast
from tests.factories.machines import NOON


@pytest.fixture
def at_noon() -> Iterator[None]:
    with time_machine.travel(NOON + timedelta(minutes=5), tick=False):
        yield


@pytest.fixture
def client(cast: Cast) -> Client:
    client = Client()
    client.force_login(cast.teacher)
    return client
