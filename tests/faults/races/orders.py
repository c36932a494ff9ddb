"""What two acts come to, one after the other: the only two ways in which they may come out at the same moment.

They are kept in orders.txt, a line each, so that the short run need not work them out and a change of any shows:

    start + void | 409 302 | attempt.voided | passed, voided, ...

The statuses are in the order of the names. `python -m tests.faults.races.run --write` works them out anew.
"""

from collections import defaultdict
from collections.abc import Mapping
from pathlib import Path

FILE = Path(__file__).with_name("orders.txt")

type Names = tuple[str, str]
type Orders = Mapping[Names, list[str]]  # the outcomes of a pair


def read() -> Orders:
    found: dict[Names, list[str]] = defaultdict(list)
    for line in FILE.read_text(encoding="utf-8").splitlines():
        pair, outcome = line.split(" | ", maxsplit=1)
        first, second = pair.split(" + ")
        found[first, second].append(outcome)
    return found


def meeting(orders: Orders) -> Orders:
    """The pairs in which it matters to somebody who was first: an answer depends on it."""
    return {names: found for names, found in orders.items() if len({one.split(" | ")[0] for one in found}) > 1}


def write(orders: Orders) -> None:
    lines = [f"{first} + {second} | {outcome}\n" for (first, second), found in orders.items() for outcome in found]
    FILE.write_text("".join(lines), encoding="utf-8")
