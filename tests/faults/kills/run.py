"""Kills a working server over and over, and looks each time: what it acknowledged stands once, and nothing is half.

    python -m tests.faults.kills.run [--kills 100] [--seed 1]

Each kind of act has its share: a kill waits until a request of the kind whose turn it is is under way. What was not
answered is sent again under its key. Prints one JSON object. Exit code 1 if anything was wrong. Zero losses in N kills
support "fewer than 3 in N" at 95 % and no more. DATABASE_URL names a PostgreSQL to do this on.
"""

import argparse
import json
import os
import random
import sys
import tempfile
import threading
import time
from collections import Counter
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tests.faults.kills.engines import SqliteServer
    from tests.faults.kills.noted import Noted
    from tests.faults.kills.operations import Operation

KINDS = (
    *("answer", "hand-in", "void", "sign-off", "undoing", "hold", "lift", "tag-out", "return"),
    *("class list", "erasure", "print set"),
)
AT_FIRST = 2  # seconds of work before the first kill, so that there is something to come back to
AT_MOST = 60  # seconds a server works, if nothing of the kind begins
USUAL = {"print set": 5.0, "erasure": 1.0}  # seconds, before one was seen
SHORT = 0.1  # seconds of any other request


@dataclass
class Outcome:
    kills: int
    seed: int
    engine: str
    killed_during: dict[str, int] = field(default_factory=dict)
    acknowledged: dict[str, int] = field(default_factory=dict)
    unanswered: dict[str, int] = field(default_factory=dict)
    sent_again: dict[str, int] = field(default_factory=dict)
    wrong: list[str] = field(default_factory=list)
    half: list[str] = field(default_factory=list)
    verify: dict[str, object] = field(default_factory=dict)

    @property
    def never(self) -> list[str]:
        """Kinds that no one got to: then the run says nothing of them."""
        return [kind for kind in KINDS if not self.acknowledged.get(kind)]

    @property
    def holds(self) -> bool:
        return bool(self.verify.get("holds")) and not (self.wrong or self.half or self.never)


def killed(server: "SqliteServer", kills: int, seed: int) -> Outcome:
    """Starts the server, lets it work, kills it: so many times; then lets it answer what was not answered."""
    from tests.faults.kills.checks import apart, halves, missing
    from tests.faults.kills.noted import Noted
    from tests.faults.kills.operations import all_operations

    dice, noted, during = random.Random(seed), Noted(), Counter[str]()
    before, operations = apart(server), all_operations(server, noted, seed)
    outcome = Outcome(kills, seed, server.engine)
    for number in range(kills):
        server.start()
        during += work_until_killed(server, operations, noted, dice, KINDS[number % len(KINDS)])
        outcome.wrong, outcome.half = noted.refused + missing(server, noted), halves(server, before)
        if outcome.wrong or outcome.half:
            break
    server.start()
    for operation in operations:
        operation.finish()
    server.stop()
    outcome.wrong, outcome.half = noted.refused + missing(server, noted), halves(server, before)
    outcome.killed_during, outcome.acknowledged = dict(during), noted.by_kind
    outcome.unanswered, outcome.sent_again = dict(noted.unanswered), dict(noted.again)
    outcome.verify = json.loads(server.manage("logbook", "verify"))
    return outcome


def work_until_killed(
    server: "SqliteServer", operations: "Sequence[Operation]", noted: "Noted", dice: random.Random, kind: str
) -> Counter[str]:
    """Returns what was under way when it was killed."""
    from tests.faults.kills.operations import under_way

    stop, broken = threading.Event(), list[Exception]()
    threads = [threading.Thread(target=under_way(operation, stop, broken)) for operation in operations]
    for thread in threads:
        thread.start()
    time.sleep(dice.uniform(0, AT_FIRST))
    noted.wait_for(kind, AT_MOST)
    time.sleep(dice.uniform(0, noted.slowest.get(kind, USUAL.get(kind, SHORT))))
    during = +noted.under_way
    server.kill()
    stop.set()
    for operation in operations:
        operation.stop()
    for thread in threads:
        thread.join(timeout=60)
    if broken:
        raise broken[0]
    return during


def main() -> int:
    parser = argparse.ArgumentParser(description=str(__doc__).splitlines()[0])
    parser.add_argument("--kills", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    wanted = parser.parse_args()
    import django

    django.setup()
    from tests.faults.kills.engines import server_of

    with tempfile.TemporaryDirectory() as folder, server_of(Path(folder)) as server:
        outcome = killed(server, wanted.kills, wanted.seed)
    json.dump(asdict(outcome) | {"never_acknowledged": outcome.never}, sys.stdout, indent=2)
    print()
    return 0 if outcome.holds else 1


if __name__ == "__main__":
    sys.exit(main())
