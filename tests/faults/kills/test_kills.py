"""A server killed over and over at work: what it acknowledged stands once, and nothing is half there."""

import uuid
from pathlib import Path

import pytest

from tests.faults.kills.checks import ONCE, STORED, apart, halves, missing, twice
from tests.faults.kills.engines import SqliteServer, sqlite_server
from tests.faults.kills.noted import Noted
from tests.faults.kills.run import KINDS, killed

pytestmark = pytest.mark.nightly

KILLS = 24
SEED = 20261125


@pytest.fixture
def server(prepared: Path, tmp_path: Path) -> SqliteServer:
    return sqlite_server(prepared, tmp_path)


def test_acknowledged_acts_are_stored_once_and_whole(server: SqliteServer) -> None:
    outcome = killed(server, KILLS, SEED)
    assert (outcome.wrong, outcome.half) == ([], []), f"seed {SEED}"
    assert outcome.verify["holds"], outcome.verify["says"]
    assert set(outcome.acknowledged) >= set(KINDS)
    assert set(outcome.killed_during) >= set(KINDS)
    assert sum(outcome.sent_again.values()) > 0


def test_lost_act_is_reported(server: SqliteServer) -> None:
    """The check itself: an act that is not stored, a row without its entry, an entry without its body."""
    key = str(uuid.uuid4())
    keyed = ("hand-in", "void", "sign-off", "hold", "tag-out", "class list", "asking for prints", "print set")
    acts = [(kind, key if kind in keyed else "0") for kind in STORED if kind != "erasure"]
    noted = Noted(acts=acts, answers={(key, "guard-1"): (1, {"chosen": "a"})})
    lost = [f"{kind} {of} stands 0 times" for kind, of in acts]
    assert missing(server, noted) == [*lost, f"answer to guard-1 of {key}"]
    before = apart(server)
    assert halves(server, before) == []
    server.write(
        "DELETE FROM logbook_listing WHERE seq = (SELECT max(seq) FROM logbook_listing WHERE kind = 'signoff.made')"
    )
    assert len(halves(server, before)) == 2


def test_act_that_stands_twice_is_reported(server: SqliteServer) -> None:
    [(person,)] = server.rows("SELECT max(id) FROM school_person WHERE role = 'student'")
    noted = Noted(acts=[("erasure", str(person))])
    assert missing(server, noted) == [f"erasure {person} stands 0 times"]
    [(kind, payload)] = server.rows(
        "SELECT l.kind, b.payload FROM logbook_listing l JOIN logbook_body b ON b.seq = l.seq "
        "WHERE l.kind = 'signoff.made' LIMIT 1"
    )
    assert kind in ONCE
    for trigger in ("logbook_body_insert", "logbook_entry_insert"):
        server.write(f"DROP TRIGGER {trigger}")
    server.write("INSERT INTO logbook_entry SELECT max(seq) + 1, x'01', x'02', x'03', x'04' FROM logbook_entry")
    server.write("INSERT INTO logbook_body SELECT max(seq), x'01', ? FROM logbook_entry", payload)
    server.write("INSERT INTO logbook_listing SELECT max(seq), 1, 'signoff.made', '2026-12-01' FROM logbook_entry")
    assert len(twice(server)) == 1
