"""What is done while the server is killed: answers, hand-ins, sign-offs, class lists. Each notes what was acknowledged.

A deed looks at the database first and does whatever comes next there, so it goes on after any kill.
"""

import json
import random
import threading
import uuid
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any

from quizzes.questions.answering import read_response
from quizzes.questions.form_data import lines_of
from tests.browser.server import Server
from tests.browser.walking import DEMO_CODE, ODILE, model_of
from tests.faults.asking import Client, Unanswered

STUDENT = "Inga Vale"
DONE = 302
ROWS = 8  # of a class list
MOSTLY = 0.9  # an answer that is there already is not given again
LETTERS = str.maketrans("0123456789", "ghijklmnop")


@dataclass
class Noted:
    """What the server said was done. `answers`: (attempt, question) → (revision, response)."""

    deeds: list[tuple[str, str]] = field(default_factory=list)
    answers: dict[tuple[str, str], tuple[int, Any]] = field(default_factory=dict)
    unanswered: int = 0

    @property
    def by_kind(self) -> dict[str, int]:
        answers = sum(revision for revision, _ in self.answers.values())
        return {"answer": answers, **Counter(kind for kind, _ in self.deeds)}

    @property
    def count(self) -> int:
        return sum(self.by_kind.values())


class Quiz:
    """A student takes a quiz again and again; the teacher voids each attempt, so that the next one can begin."""

    OPEN = "SELECT id FROM quizzes_attempt WHERE student_id = ? AND bank_id = ? AND voided_at IS NULL AND {} LIMIT 1"

    signed_in = False  # a session outlives the server

    def __init__(self, server: Server, noted: Noted, dice: random.Random) -> None:
        self.server, self.noted, self.dice = server, noted, dice
        [(self.student,)] = server.rows("SELECT id FROM school_person WHERE name = ?", STUDENT)
        tried = "SELECT bank_id FROM quizzes_attempt WHERE student_id = ?"
        published = f"SELECT bank_id FROM quizzes_edition WHERE bank_id NOT IN ({tried}) ORDER BY bank_id LIMIT 1"  # noqa: S608
        [(self.bank,)] = server.rows(published, self.student)

    def sign_in(self) -> None:
        self.theirs, self.desk = Client(self.server.url), Client(self.server.url)
        self.theirs.sign_in(STUDENT, DEMO_CODE)
        self.desk.sign_in(*ODILE)

    def turn(self) -> None:
        """One attempt from where it stands to the hand-in, or the voiding of one that is handed in."""
        if handed_in := self._attempt("handed_in_at IS NOT NULL"):
            self._deed(self.desk, "void", handed_in, f"/attempts/{handed_in}/void/", {"reason": ["To be done again"]})
        elif (attempt := self._attempt("handed_in_at IS NULL")) is None:
            self.theirs.post(f"/quizzes/{self.bank}/start/", {})
        else:
            self._answer(attempt)
            self._deed(self.theirs, "hand-in", attempt, f"/attempts/{attempt}/hand-in/", {})

    def _attempt(self, condition: str) -> str | None:
        found = self.server.rows(self.OPEN.format(condition), self.student, self.bank)
        return str(uuid.UUID(str(found[0][0]))) if found else None

    def _answer(self, attempt: str) -> None:
        [(form,)] = self.server.rows("SELECT form FROM quizzes_attempt WHERE id = ?", uuid.UUID(attempt).hex)
        lines = lines_of(json.loads(str(form)))
        wrong = self.dice.sample(range(1, len(lines) + 1), len(lines) // 2)
        given = "SELECT question FROM quizzes_answer WHERE attempt_id = ?"
        kept = {code for (code,) in self.server.rows(given, uuid.UUID(attempt).hex)}
        for number, sent in enumerate(model_of(self.server, uuid.UUID(attempt), wrong), 1):
            if lines[number - 1].code in kept and self.dice.random() < MOSTLY:
                continue
            if self.theirs.post(f"/attempts/{attempt}/questions/{number}/save/", sent) == 200:
                code = lines[number - 1].code
                revision = json.loads(self.theirs.said)["revision"]
                self.noted.answers[attempt, code] = (revision, read_response(lines[number - 1], sent))

    def _deed(self, client: Client, kind: str, key: str, path: str, fields: dict[str, list[str]]) -> None:
        if client.post(path, fields) == DONE:
            self.noted.deeds.append((kind, key))


class SignOffs:
    """A teacher signs a student off on a machine, undoes it, signs off again."""

    STANDING = (
        "SELECT id, entry_id FROM machines_signoff WHERE student_id = ? AND machine_id = ? "
        "AND undone_at IS NULL AND withdrawn_at IS NULL ORDER BY id DESC LIMIT 1"
    )

    signed_in = False  # a session outlives the server

    def __init__(self, server: Server, noted: Noted) -> None:
        self.server, self.noted = server, noted
        self.student, self.machine, points, self.first = server.rows(
            "SELECT s.student_id, s.machine_id, k.demonstration, s.id FROM machines_signoff s "
            "JOIN machines_machine m ON m.id = s.machine_id JOIN machines_machinekind k ON k.id = m.kind_id "
            "JOIN school_person p ON p.id = s.by_id WHERE p.name = ? AND s.undone_at IS NULL "
            "AND s.withdrawn_at IS NULL AND s.renews_id IS NULL AND NOT EXISTS "
            "(SELECT 1 FROM machines_tagout t WHERE t.machine_id = m.id AND t.returned_at IS NULL) AND NOT EXISTS "
            "(SELECT 1 FROM machines_hold h WHERE h.student_id = s.student_id AND h.lifted_at IS NULL) "
            "ORDER BY s.at DESC LIMIT 1",
            ODILE[0],
        )[0]
        self.points = json.loads(str(points))

    def sign_in(self) -> None:
        self.desk = Client(self.server.url)
        self.desk.sign_in(*ODILE)

    def turn(self) -> None:
        standing = self.server.rows(self.STANDING, self.student, self.machine)
        if not standing:
            tap = str(uuid.uuid4())
            path = f"/machines/{self.machine}/sign-off/{self.student}/"
            self._deed("sign-off", tap, path, {"tap": [tap], "point": self.points})
        elif standing[0][0] == self.first:
            self._deed("withdrawal", str(self.first), f"/sign-offs/{self.first}/withdraw/", {"reason": ["Once more"]})
        else:
            key = str(standing[0][0])
            self._deed("undoing", key, f"/sign-offs/{key}/undo/", {})

    def _deed(self, kind: str, key: str, path: str, fields: dict[str, list[str]]) -> None:
        if self.desk.post(path, fields) == DONE:
            self.noted.deeds.append((kind, key))


class ClassLists:
    """A teacher brings class lists in, each with students who are new to the school."""

    signed_in = False  # a session outlives the server

    def __init__(self, server: Server, noted: Noted) -> None:
        self.server, self.noted = server, noted
        [(self.section,)] = server.rows(
            "SELECT t.section_id FROM school_section_teachers t JOIN school_person p ON p.id = t.person_id "
            "WHERE p.name = ? ORDER BY t.section_id LIMIT 1",
            ODILE[0],
        )

    def sign_in(self) -> None:
        self.desk = Client(self.server.url)
        self.desk.sign_in(*ODILE)

    def turn(self) -> None:
        key = str(uuid.uuid4())
        family = key[:8].translate(LETTERS).capitalize()
        rows = [f"{family}\t{'ABCDEFGH'[place]}dam\t{key[:8]}-{place}" for place in range(ROWS)]
        text = "\n".join(["Last name\tFirst name\tID", *rows])
        if self.desk.post(f"/people/import/{self.section}/", {"text": [text], "key": [key], "step": ["apply"]}) == DONE:
            self.noted.deeds.append(("class list", key))


Deed = Quiz | SignOffs | ClassLists


def under_way(deed: Deed, noted: Noted, stop: threading.Event, broken: list[Exception]) -> Callable[[], None]:
    """Does it over and over until the server is gone."""

    def work() -> None:
        try:
            if not deed.signed_in:
                deed.sign_in()
                deed.signed_in = True
            while not stop.is_set():
                deed.turn()
        except Unanswered:
            noted.unanswered += 1
        except Exception as error:
            broken.append(error)

    return work


def each(server: Server, noted: Noted, seed: int) -> Iterator[Deed]:
    yield Quiz(server, noted, random.Random(seed))
    yield SignOffs(server, noted)
    yield ClassLists(server, noted)
