"""Holds a server up with connections that stall, and looks how long everyone else waits.

    python -m tests.faults.stalled [--seconds 100] [--lines 50] [--rounds 5]

First, for so many seconds, other requests are timed while the lines stall. Then saves a second are counted in rounds:
with the stalled lines, and beside it, without any, on the same server in the mode that reads bodies in its workers,
which was used before. Prints one JSON object. Exit code 1 if a request waited longer than a second, or was not
answered, or saves are slower than 0.85 of the floor (the median of the ratios of all rounds).
"""

import argparse
import asyncio
import itertools
import json
import os
import statistics
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")

if TYPE_CHECKING:
    from tests.browser.server import Server
    from tests.faults.saving import SavingStudent
    from tests.faults.stalled_lines import StalledLines

LONGEST_WAIT = 1.0  # seconds
SLOWEST = 0.85  # of the floor's saves a second
EVERY = 0.2  # seconds from one other request to the next
ROUND_SECONDS = 4
STUDENTS = 30


@dataclass(frozen=True)
class Waits:
    """How the other requests fared. `late` are those that took longer than LONGEST_WAIT."""

    seconds: float
    requests: int
    longest: float
    late: int
    unanswered: int
    lines: dict[str, int]
    ended: dict[str, int]


@dataclass(frozen=True)
class Speed:
    """Saves a second in each round, with the lines, and of the floor without them."""

    with_lines: list[int]
    floor: list[int]
    ratio: float
    failed: list[str]


async def others_while_stalled(
    server: "Server", students: "list[SavingStudent]", *, lines: "StalledLines", seconds: float, patience: float = 30
) -> Waits:
    """Sends other requests at fixed moments while the lines stall, each on a connection of its own."""
    requests = other_requests(server, students)
    async with lines.held():
        asked = []
        until = time.monotonic() + seconds
        while time.monotonic() < until:
            asked.append(asyncio.create_task(timed(server.port, next(requests), patience)))
            await asyncio.sleep(EVERY)
        times = await asyncio.gather(*asked)
    return Waits(
        seconds,
        requests=len(times),
        longest=round(max(took for took, _ in times), 3),
        late=sum(took > LONGEST_WAIT for took, _ in times),
        unanswered=sum(not answered for _, answered in times),
        lines=dict(lines.opened),
        ended=dict(lines.ended),
    )


async def timed(port: int, data: bytes, patience: float) -> tuple[float, bool]:
    """Seconds, and whether the answer was the one expected."""
    from tests.faults.raw import NoAnswer, ask_once

    began = time.monotonic()
    try:
        answered = (await ask_once(port, data, patience)).status == 200
    except NoAnswer:
        answered = False
    return time.monotonic() - began, answered


def other_requests(server: "Server", students: "list[SavingStudent]") -> Iterator[bytes]:
    """The sign-in page, a file, a student's page, an answer to save; by turns, endlessly."""
    from tests.faults.raw import request

    pages = [request("GET", "/sign-in/"), request("GET", static_file(server))]
    for student in itertools.cycle(students):
        yield from (*pages, request("GET", "/bench/", cookie=student.cookie), next(student.endless_saves))


def static_file(server: "Server") -> str:
    """The address of the largest style sheet."""
    sheets = (server.var / "static" / "css" / "pages").glob("machines.*.css")
    return f"/static/css/pages/{next(sheets).name}"


def stalled_lines(server: "Server", count: int) -> "StalledLines":
    from tests.faults.raw import request
    from tests.faults.stalled_lines import StalledLines, kinds_of_lines

    return StalledLines(server.port, kinds_of_lines(request("GET", static_file(server))), count)


async def speed(
    server: "Server", floor: "Server", *, lines: int, rounds: int, count: int, seconds: float = ROUND_SECONDS
) -> Speed:
    from tests.faults.saving import save_for, saving_students

    ours, theirs = saving_students(server, count), saving_students(floor, count)
    with_lines, plain, failed = list[float](), list[float](), list[str]()
    async with stalled_lines(server, lines).held():
        for number in range(rounds):
            turns = [(server, ours, with_lines), (floor, theirs, plain)]
            for on, students, rates in turns if number % 2 else reversed(turns):
                saved = await save_for(seconds, on.port, students)
                rates.append(saved.a_second)
                failed += saved.failed
    ratio = statistics.median(ours / theirs for ours, theirs in zip(with_lines, plain, strict=True))
    return Speed([round(rate) for rate in with_lines], [round(rate) for rate in plain], round(ratio, 3), failed[:9])


def floor_of(place: Path, own: Path) -> "Server":
    """The same program on the same server, whose workers read the bodies themselves."""
    from tests.browser.server import Server, on_a_copy

    class ReadingInWorkers(Server):
        def command(self) -> list[str]:
            ours = super().command()
            return [
                {"rsgi": "wsgi", "shopsafe.rsgi:application": "shopsafe.wsgi:application"}.get(word, word)
                for word in (*ours[:-1], "--blocking-threads", "1", ours[-1])
            ]

    copy = on_a_copy(place, own)
    return ReadingInWorkers(var=copy.var, database=copy.database)


def main() -> int:
    parser = argparse.ArgumentParser(description=str(__doc__).splitlines()[0])
    parser.add_argument("--seconds", type=float, default=100)
    parser.add_argument("--lines", type=int, default=50)
    parser.add_argument("--rounds", type=int, default=5)
    options = parser.parse_args()
    from tests.browser.server import on_a_copy, prepare
    from tests.faults.saving import saving_students

    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "prepared"
        prepare(place)
        server, floor = on_a_copy(place, Path(folder) / "own"), floor_of(place, Path(folder) / "floor")
        try:
            server.start()
            students = saving_students(server, STUDENTS)
            lines = stalled_lines(server, options.lines)
            waits = asyncio.run(others_while_stalled(server, students, lines=lines, seconds=options.seconds))
            floor.start()
            fast = asyncio.run(speed(server, floor, lines=options.lines, rounds=options.rounds, count=STUDENTS))
        finally:
            server.kill()
            floor.kill()
    json.dump({"waits": asdict(waits), "saves": asdict(fast)}, sys.stdout, indent=2)
    return 0 if not (waits.late or waits.unanswered or fast.failed) and fast.ratio >= SLOWEST else 1


if __name__ == "__main__":
    sys.exit(main())
