"""While something else holds the database locked, pages are read as ever, and what is saved waits its turn."""

import asyncio
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager

import pytest

from tests.browser.server import Server
from tests.faults.raw import RawAnswer, ask_once, request
from tests.faults.saving import SavingStudent, saving_students

pytestmark = pytest.mark.served

STUDENTS = 12
SAVES = 24  # far more than there are workers
HELD = 10  # seconds that a worker would be held, if it waited for the lock itself


@contextmanager
def locked(server: Server) -> Iterator[sqlite3.Connection]:
    with closing(sqlite3.connect(server.database, timeout=20)) as other:
        other.execute("BEGIN IMMEDIATE")
        yield other
        other.rollback()


async def timed(port: int, data: bytes) -> tuple[float, RawAnswer]:
    began = time.monotonic()
    answer = await ask_once(port, data)
    return time.monotonic() - began, answer


async def read_and_save(server: Server, students: list[SavingStudent], seconds: float) -> tuple[list, list]:
    """Saves are sent while the database is locked, and pages are read all the while; then the lock is let go."""
    with locked(server) as other:
        saves = [
            asyncio.create_task(timed(server.port, next(students[number % len(students)].endless_saves)))
            for number in range(SAVES)
        ]
        reads, until = [], time.monotonic() + seconds
        while time.monotonic() < until:
            page = request("GET", "/rules/", cookie=students[0].cookie)
            reads.append(asyncio.create_task(timed(server.port, page)))
            await asyncio.sleep(0.1)
        reads = await asyncio.gather(*reads)
        other.rollback()
        return reads, await asyncio.gather(*saves)


def test_pages_are_read_while_it_is_locked_and_saves_are_stored_after(running: Server) -> None:
    students = saving_students(running, STUDENTS)
    reads, saves = asyncio.run(read_and_save(running, students, seconds=4))
    print({"reads": len(reads), "longest read": round(max(took for took, _ in reads), 3), "saves": len(saves)})
    assert {answer.status for _, answer in reads} == {200}
    assert max(took for took, _ in reads) < HELD / 2
    assert {answer.status for _, answer in saves} == {200}
    assert min(took for took, _ in saves) > 3


@pytest.mark.nightly
def test_save_is_refused_in_words_when_the_lock_lasts(running: Server) -> None:
    students = saving_students(running, 1)
    with locked(running):
        took, answer = asyncio.run(timed(running.port, next(students[0].endless_saves)))
    assert answer.status == 503
    assert 9 < took < 15
    assert "The database is busy" in answer.body.decode()
    assert "database is locked" in running.log()
    assert asyncio.run(timed(running.port, next(students[0].endless_saves)))[1].status == 200
