"""Kills a working server over and over, and looks each time: all it acknowledged is there, and nothing is half there.

    python -m tests.faults.kills [--kills 100] [--seed 1]

Prints one JSON object. Exit code 1 with what was lost, if anything was. Zero losses in N kills support "fewer than 3 in
N" at 95 % and no more.
"""

import argparse
import json
import os
import random
import sys
import tempfile
import threading
import time
import uuid
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")

if TYPE_CHECKING:
    from tests.browser.server import Server
    from tests.faults.deeds import Noted

MOST = 15  # acknowledgements before the kill: so the kill falls into any deed, on a machine of any speed
SPREAD = 0.05  # seconds between the last of them and the kill, at most
AT_MOST = 30  # seconds a server works, if nothing is acknowledged

# What was acknowledged → a query that finds it, by its key.
STORED = {
    "hand-in": "SELECT 1 FROM quizzes_attempt WHERE id = ? AND handed_in_at IS NOT NULL AND entry_id IS NOT NULL",
    "void": "SELECT 1 FROM quizzes_attempt WHERE id = ? AND voided_at IS NOT NULL",
    "sign-off": "SELECT 1 FROM machines_signoff WHERE tap = ? AND entry_id IS NOT NULL",
    "undoing": "SELECT 1 FROM machines_signoff WHERE id = ? AND undone_at IS NOT NULL",
    "withdrawal": "SELECT 1 FROM machines_signoff WHERE id = ? AND withdrawn_at IS NOT NULL",
    "class list": "SELECT 1 FROM school_rosterimport WHERE key = ?",
}
# Rows that an act stores, and the kinds of entry it writes beside them: as many of the one as of the other.
TOGETHER = {
    "SELECT count(*) FROM quizzes_attempt WHERE handed_in_at IS NOT NULL": ("attempt.passed", "attempt.missed"),
    "SELECT count(*) FROM quizzes_attempt WHERE voided_at IS NOT NULL": ("attempt.voided",),
    "SELECT count(*) FROM machines_signoff": ("signoff.made",),
    "SELECT count(*) FROM machines_signoff WHERE undone_at IS NOT NULL": ("signoff.undone",),
    "SELECT count(*) FROM machines_signoff WHERE withdrawn_at IS NOT NULL": ("signoff.withdrawn",),
    "SELECT count(*) FROM school_rosterimport": ("roster.imported",),
    "SELECT count(*) FROM school_enrolment": ("student.enrolled",),
    "SELECT sum(added) FROM school_rosterimport": ("student.enrolled",),
}
# None of these finds a row, whatever was killed.
NEVER = {
    "an entry without its body": "SELECT seq FROM logbook_entry WHERE seq NOT IN (SELECT seq FROM logbook_body)",
    "an entry that is not listed": "SELECT seq FROM logbook_entry WHERE seq NOT IN (SELECT seq FROM logbook_listing)",
    "a person in no class": "SELECT id FROM school_person WHERE role = 'student' AND id NOT IN "
    "(SELECT student_id FROM school_enrolment)",
    "a row that points nowhere": "PRAGMA foreign_key_check",
    "a broken file": "SELECT * FROM pragma_integrity_check WHERE integrity_check <> 'ok'",
}


@dataclass(frozen=True)
class Outcome:
    kills: int
    seed: int
    acknowledged: dict[str, int]
    unanswered: int
    lost: list[str]
    half: list[str]
    verify: dict[str, object]


def killed(server: "Server", kills: int, seed: int) -> Outcome:
    """Starts the server, lets it work, kills it: so many times."""
    from tests.faults.deeds import Noted, each

    dice, noted = random.Random(seed), Noted()
    before, deeds = apart(server), list(each(server, noted, seed))
    for _ in range(kills):
        server.start()
        work_until_killed(server, deeds, noted, dice)
        lost, half = missing(server, noted), halves(server, before)
        if lost or half:
            break
    verdict = json.loads(server.manage("logbook", "verify"))
    return Outcome(kills, seed, noted.by_kind, noted.unanswered, lost, half, verdict)


def work_until_killed(server: "Server", deeds: list, noted: "Noted", dice: random.Random) -> None:
    from tests.faults.deeds import under_way

    stop, broken = threading.Event(), list[Exception]()
    enough, latest = noted.count + dice.randint(1, MOST), time.monotonic() + AT_MOST
    threads = [threading.Thread(target=under_way(deed, noted, stop, broken)) for deed in deeds]
    for thread in threads:
        thread.start()
    while noted.count < enough and time.monotonic() < latest and not broken:
        time.sleep(0.005)
    time.sleep(dice.uniform(0, SPREAD))
    server.kill()
    stop.set()
    for thread in threads:
        thread.join(timeout=60)
    if broken:
        raise broken[0]


def missing(server: "Server", noted: "Noted") -> list[str]:
    """What was acknowledged and is not stored."""
    lost = []
    for kind, key in noted.deeds:
        if not server.rows(STORED[kind], uuid.UUID(key).hex if "-" in key else key):
            lost.append(f"{kind} {key}")
    for (attempt, question), (revision, response) in noted.answers.items():
        kept = server.rows(
            "SELECT revision, response FROM quizzes_answer WHERE attempt_id = ? AND question = ?",
            uuid.UUID(attempt).hex,
            question,
        )
        # A later answer may have been stored whose acknowledgement never came.
        stored, said = (int(str(kept[0][0])), json.loads(str(kept[0][1]))) if kept else (0, None)
        if stored < revision or (stored == revision and said != response):
            lost.append(f"answer to {question}")
    return lost


def apart(server: "Server") -> dict[str, int]:
    """How many more rows than entries there are, for each pair: the demo school was not all built by acts."""
    found = {}
    for sql, kinds in TOGETHER.items():
        [(rows,)], marks = server.rows(sql), ", ".join("?" * len(kinds))
        [(entries,)] = server.rows(f"SELECT count(*) FROM logbook_listing WHERE kind IN ({marks})", *kinds)  # noqa: S608
        found[sql] = int(str(rows or 0)) - int(str(entries))
    return found


def halves(server: "Server", before: dict[str, int]) -> list[str]:
    half = [sql for sql, more in apart(server).items() if more != before[sql]]
    return half + [what for what, sql in NEVER.items() if server.rows(sql)]


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--kills", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    wanted = parser.parse_args()
    import django

    django.setup()
    from tests.browser.server import on_a_copy, prepare

    with tempfile.TemporaryDirectory() as folder:
        prepare(Path(folder) / "prepared")
        outcome = killed(on_a_copy(Path(folder) / "prepared", Path(folder) / "own"), wanted.kills, wanted.seed)
    json.dump(vars(outcome), sys.stdout, indent=2)
    return 0 if outcome.verify["holds"] and not outcome.lost and not outcome.half else 1


if __name__ == "__main__":
    sys.exit(main())
