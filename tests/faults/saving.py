"""Students who save answers as fast as a server takes them."""

import asyncio
import itertools
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from uuid import UUID

from tests.browser.server import Server
from tests.browser.walking import DEMO_CODE, model_of
from tests.faults.asking import Client
from tests.faults.raw import Connection, NoAnswer, request

KEPT_FOR = 25  # requests on one connection: so that all connections are shared out among the workers again and again
OPEN_ATTEMPT = (
    "SELECT a.id FROM quizzes_attempt a JOIN school_person p ON p.id = a.student_id"
    " WHERE p.name = ? AND a.handed_in_at IS NULL AND a.voided_at IS NULL"
)


@dataclass(frozen=True)
class SavingStudent:
    """A student with an open quiz. No two saves that follow one another are the same, so each is written."""

    cookie: str
    endless_saves: Iterator[bytes]


def saving_students(server: Server, count: int) -> list[SavingStudent]:
    """Signs in so many students of the demo school and begins a quiz for each."""
    people = "SELECT name FROM school_person WHERE role = 'student' AND locked_at IS NULL ORDER BY id"
    names = [str(name) for (name,) in server.rows(people)]
    banks = [bank for (bank,) in server.rows("SELECT DISTINCT bank_id FROM quizzes_edition ORDER BY bank_id")]
    students = (saving_student(server, name, banks) for name in names)
    return list(itertools.islice((student for student in students if student), count))


def saving_student(server: Server, name: str, banks: list[object]) -> SavingStudent | None:
    """None for a student who can begin no quiz now."""
    client = Client(server.url)
    client.sign_in(name, DEMO_CODE)
    for bank in banks:
        client.post(f"/quizzes/{bank}/start/", {"purpose": ["again"]})
        if rows := server.rows(OPEN_ATTEMPT, name):
            return SavingStudent(client.cookie, itertools.cycle(saves_of(server, UUID(str(rows[0][0])), client)))
    return None


def saves_of(server: Server, attempt: UUID, client: Client) -> Iterator[bytes]:
    right = model_of(server, attempt)
    wrong = model_of(server, attempt, range(1, len(right) + 1))
    for number, answers in enumerate(zip(right, wrong, strict=True), 1):
        for sent in answers:
            form = {**sent, "csrfmiddlewaretoken": [client.token]}
            yield request("POST", f"/attempts/{attempt}/questions/{number}/save/", cookie=client.cookie, form=form)


@dataclass
class Saved:
    seconds: float
    count: int = 0
    failed: list[str] = field(default_factory=list)

    @property
    def a_second(self) -> float:
        return self.count / self.seconds


async def save_for(seconds: float, port: int, students: list[SavingStudent]) -> Saved:
    """Every student saves, waits for the answer, and saves again, until the time is over."""
    saved, until = Saved(seconds), time.monotonic() + seconds
    await asyncio.gather(*(_save_until(until, port, student, saved) for student in students))
    return saved


async def _save_until(until: float, port: int, student: SavingStudent, saved: Saved) -> None:
    while time.monotonic() < until:
        connection = await Connection.open(port)
        for save in itertools.islice(student.endless_saves, KEPT_FOR):
            try:
                answer = await connection.ask(save)
            except NoAnswer as error:
                saved.failed.append(str(error))
                break
            if answer.status == 200:
                saved.count += 1
            else:
                saved.failed.append(f"{answer.status}")
            if time.monotonic() > until:
                break
        connection.close()
