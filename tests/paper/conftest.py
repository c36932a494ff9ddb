"""Sheets are measured in millimeters, so those of these tests state their distance in meters."""

from collections.abc import Iterator

import pytest

from shopsafe.conventions import Conventions, conventions_in_use


@pytest.fixture(autouse=True)
def meters() -> Iterator[None]:
    with conventions_in_use(Conventions.INTERNATIONAL):
        yield
