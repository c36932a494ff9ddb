"""A server killed twenty times at work: nothing that it acknowledged is lost, nothing is half there."""

import uuid

import pytest

from tests.browser.server import Server
from tests.faults.deeds import Noted
from tests.faults.kills import STORED, apart, halves, killed, missing

pytestmark = pytest.mark.nightly

KILLS = 20
SEED = 20261125


def test_what_was_acknowledged_is_stored_and_nothing_is_half_there(server: Server) -> None:
    outcome = killed(server, KILLS, SEED)
    assert (outcome.lost, outcome.half) == ([], []), f"seed {SEED}"
    assert outcome.verify["holds"], outcome.verify["says"]
    assert set(outcome.acknowledged) >= {"answer", "hand-in", "void", "sign-off", "undoing", "class list"}


def test_it_would_be_told(server: Server) -> None:
    """The check itself: a deed that is not stored, a row without its entry, an entry without its body."""
    key = str(uuid.uuid4())
    kinds = [kind for kind in STORED if kind not in ("undoing", "withdrawal")]
    noted = Noted(deeds=[(kind, key) for kind in kinds], answers={(key, "guard-1"): (1, {"chosen": "a"})})
    assert missing(server, noted) == [*(f"{kind} {key}" for kind in kinds), "answer to guard-1"]
    before = apart(server)
    assert halves(server, before) == []
    server.write(
        "DELETE FROM logbook_listing WHERE seq = (SELECT max(seq) FROM logbook_listing WHERE kind = 'signoff.made')"
    )
    assert len(halves(server, before)) == 2
