"""The logbook by itself: the tests of this folder write entries without records, and no app has declared any."""

import pytest

from shopsafe.logbook.verification import declared


@pytest.fixture(autouse=True)
def _no_records(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(declared, "DECLARED", {})
