"""The demo school for the tests that start a real server: made once, or by `make test` while other tests run."""

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.browser.server import Server, on_a_copy, prepare


@pytest.fixture(scope="session")
def prepared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    if prepared_folder := os.environ.get("SHOPSAFE_PREPARED"):
        return Path(prepared_folder)
    place = tmp_path_factory.mktemp("faults") / "prepared"
    prepare(place)
    return place


@pytest.fixture(scope="session")
def house(prepared: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """One server for all tests that leave it whole, since starting one takes longer than most of them."""
    house = on_a_copy(prepared, tmp_path_factory.mktemp("house"))
    yield house
    house.kill()


@pytest.fixture
def running(house: Server, prepared: Path) -> Server:
    house.renew(prepared)
    return house if house.process else house.start()
