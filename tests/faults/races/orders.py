"""What two acts come to, one after the other: the only two ways in which they may come out at the same moment.

They are kept in orders.txt, a line each, so that the short run need not work them out and a change of any shows:

    start + void | 409 302 | attempt.voided | passed, voided, ...

The statuses are in the order of the names. `python -m tests.faults.races.run --write` works them out again.
"""

from collections import defaultdict
from collections.abc import Mapping
from pathlib import Path

FILE = Path(__file__).with_name("orders.txt")

type Names = tuple[str, str]
type Orders = Mapping[Names, list[str]]  # the outcomes of a pair


def read() -> Orders:
    orders: dict[Names, list[str]] = defaultdict(list)
    for line in FILE.read_text(encoding="utf-8").splitlines():
        pair, outcome = line.split(" | ", maxsplit=1)
        first, second = pair.split(" + ")
        orders[first, second].append(outcome)
    return orders


def meeting(orders: Orders) -> Orders:
    """The pairs in which it matters to someone who was first: an answer depends on it."""
    return {
        names: outcomes
        for names, outcomes in orders.items()
        if len({outcome.split(" | ")[0] for outcome in outcomes}) > 1
    }


def write(orders: Orders) -> None:
    lines = [
        f"{first} + {second} | {outcome}\n" for (first, second), outcomes in orders.items() for outcome in outcomes
    ]
    FILE.write_text("".join(lines), encoding="utf-8")
