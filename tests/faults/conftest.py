"""The demo school for the tests that start a real server: made once, or by `make test` while other tests run."""

import os
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


@pytest.fixture
def server(prepared: Path, tmp_path: Path) -> Server:
    return on_a_copy(prepared, tmp_path)
