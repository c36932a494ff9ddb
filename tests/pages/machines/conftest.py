"""The pages of machines stand at noon of one school day, with the cast's floor, and the teacher signed in."""

from collections.abc import Iterator

import pytest
import time_machine
from django.test import Client

from tests.cast import Cast
from tests.factories.machines import NOON, Floor


@pytest.fixture(autouse=True)
def noon() -> Iterator[None]:
    with time_machine.travel(NOON, tick=False):
        yield


@pytest.fixture
def teacher(client: Client, cast: Cast, floor: Floor) -> Client:
    client.force_login(cast.teacher)
    return client
