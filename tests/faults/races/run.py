"""Sends every pair of acts at the same moment, and looks whether it came out as one of the two orders does.

    python -m tests.faults.races.run [--rounds 20] [--seed 1] [--pair "sign-off" "tag-out"] [--acts "wait"] [--write]

`--pair` and `--acts` send some pairs alone, and `--write` then writes those, beside what orders.txt says of the rest.
Prints one JSON object: pairs, rounds, seed, engine, how many were under way at one moment, and what went wrong. Exit
code 1 if anything did. First it works out what the two orders give, and compares that with orders.txt.
"""

import argparse
import itertools
import json
import os
import random
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")

if TYPE_CHECKING:
    from shopsafe.logbook.models import Listing
    from tests.faults.races.orders import Names, Orders
    from tests.faults.races.scene import Place, Scene
    from tests.faults.races.servers import Answer, Pair, Request

LATE = 0.02  # seconds by which one is sent after the other, at most
PAIRS_IN_A_SCHOOL = 20  # each scene adds a machine type, and every act about a machine reads all of its school


@dataclass
class Report:
    engine: str
    rounds: int
    seed: int
    pairs: int
    races: int = 0
    beside: int = 0  # both under way at one moment
    wrong: list[str] = field(default_factory=list)

    @property
    def summary(self) -> str:
        sent = f"{self.pairs} pairs × {self.rounds} rounds on {self.engine}, seed {self.seed}"
        return f"{sent}: {self.beside} of {self.races} beside each other"


def all_pairs() -> "list[Names]":
    """Every pair, an act with itself among them."""
    from tests.faults.races.acts import ACTS

    return list(itertools.combinations_with_replacement(ACTS, 2))


def work_out(servers: "Pair", pairs: "Sequence[Names]") -> "Orders":
    """Plays each order of each pair on a scene of its own."""
    from tests.faults.races.scene import make_place

    place, orders = make_place(), dict["Names", list[str]]()
    for number, names in enumerate(pairs, 1):
        place = make_place() if number % PAIRS_IN_A_SCHOOL == 0 else place
        outcomes = [outcome_of(servers, place, names, order) for order in ((0, 1), (1, 0))]
        orders[names] = list(dict.fromkeys(outcomes))
    return orders


def outcome_of(servers: "Pair", place: "Place", names: "Names", order: tuple[int, int]) -> str:
    from tests.faults.races.outcomes import outcome_line

    scene, requests = prepared(place, names)
    servers.sign_in(request.person for request in requests)  # the first act may remove who sends the second
    answers = {number: servers.send(number, requests[number]) for number in order}
    return outcome_line(scene, [answers[0].status, answers[1].status])


def race_all(servers: "Pair", orders: "Orders", rounds: int, seed: int) -> Report:
    """Every pair of `orders`, so many times."""
    from django.db import connection

    from shopsafe.logbook.verification.verify import verify
    from tests.faults.races.scene import make_place

    place, dice = make_place(), random.Random(seed)
    report = Report(connection.vendor, rounds, seed, len(orders))
    for number, (names, allowed) in enumerate(orders.items(), 1):
        place = make_place() if number % PAIRS_IN_A_SCHOOL == 0 else place
        for _ in range(rounds):
            late = [dice.uniform(0, LATE), 0.0]
            dice.shuffle(late)
            scene, requests = prepared(place, names)
            answers = servers.at_once(requests, late)
            report.races += 1
            report.beside += answers[0].beside(answers[1])
            report.wrong += [f"{' + '.join(names)}: {what}" for what in wrong_with(scene, answers, allowed)]
    report.wrong += [servers.log()] if "Traceback" in servers.log() else []
    report.wrong += [says] if (says := verify().says_wrong) else []
    return report


def prepared(place: "Place", names: "Names") -> "tuple[Scene, list[Request]]":
    from tests.faults.races.acts import ACTS, state_of
    from tests.faults.races.scene import Scene

    acts = [ACTS[name] for name in names]
    scene = Scene(place, state_of(*acts))
    return scene, [act.request(scene, actor) for actor, act in enumerate(acts)]


def wrong_with(scene: "Scene", answers: "Sequence[Answer]", allowed: Sequence[str]) -> Iterator[str]:
    from tests.faults.races.outcomes import outcome_line

    outcome = outcome_line(scene, [answer.status for answer in answers])
    if outcome not in allowed:
        yield f"came out as {outcome!r}, which is neither of {allowed}"
    if any(answer.status >= 500 for answer in answers):
        yield "a server failed"
    if backwards := goes_backwards(scene.entries()):
        yield backwards


def goes_backwards(entries: "Sequence[Listing]") -> str:
    """Of two entries about the same student or machine the later one is of no earlier moment."""
    from shopsafe.logbook.models import Subject

    about: dict[int, set[str]] = {entry.entry_id: set() for entry in entries}
    subjects = Subject.objects.filter(entry__in=list(about), role__in=["student", "machine"])
    for seq, key in subjects.values_list("entry", "key"):
        about[seq].add(key)
    for entry, later in itertools.combinations(entries, 2):
        if later.at < entry.at and about[entry.entry_id] & about[later.entry_id]:
            return f"entry {later.entry_id} ({later.kind}) is of an earlier moment than {entry.entry_id} ({entry.kind})"
    return ""


def main() -> int:
    parser = argparse.ArgumentParser(description=str(__doc__).splitlines()[0])
    parser.add_argument("--rounds", type=int, default=20)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--pair", nargs=2, metavar="ACT", help="this pair alone")
    parser.add_argument("--acts", nargs="+", metavar="ACT", help="the pairs with one of these acts alone")
    parser.add_argument("--write", action="store_true", help="write what the two orders give to orders.txt")
    options = parser.parse_args()
    import django

    django.setup()
    from tests.database import migrated
    from tests.faults.races import orders
    from tests.faults.races.servers import two_servers

    pairs: list[Names] = [(options.pair[0], options.pair[1])] if options.pair else all_pairs()
    if options.acts:
        pairs = [names for names in pairs if {*names} & {*options.acts}]
    with migrated(), two_servers() as servers:
        worked_out = work_out(servers, pairs)
        if options.write:
            both = {**orders.read(), **worked_out}
            orders.write({names: both[names] for names in all_pairs() if names in both})
        report = race_all(servers, worked_out, options.rounds, options.seed)
    kept = orders.read()
    changed = [" + ".join(names) for names in pairs if sorted(kept.get(names, [])) != sorted(worked_out[names])]
    report.wrong += [f"orders.txt says otherwise of {', '.join(changed)}: run with --write"] if changed else []
    json.dump(vars(report), sys.stdout, indent=2, ensure_ascii=False)
    print(f"\n{report.summary}")
    return 1 if report.wrong else 0


if __name__ == "__main__":
    sys.exit(main())
