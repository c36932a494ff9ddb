"""What is done while the server is killed. Each operation looks at the database first and does whatever comes next.

So it goes on after any kill; what was not answered is sent again first, under its key.
"""

import io
import json
import random
import re
import tempfile
import threading
import uuid
import zipfile
from collections.abc import Callable, Sequence
from functools import partial

from quizzes.facts import FormQuestion
from quizzes.questions.answering import Sent as Answered
from quizzes.questions.answering import read_response
from quizzes.questions.form_data import lines_of
from tests.browser.walking import DEMO_CODE, LOTTE, ODILE, model_of
from tests.faults.asking import Client, Unanswered
from tests.faults.kills.engines import SqliteServer
from tests.faults.kills.noted import Noted, Sent

STUDENT = "Inga Vale"
HIDDEN = re.compile(r'<input type="hidden" name="(tap|seen)" value="([^"]*)"')
LINE = re.compile(r'name="(line-[0-9]+)"')
ROWS = 8  # of a class list
MOSTLY = 0.9  # an answer that is there already is not given again
LETTERS = str.maketrans("0123456789", "ghijklmnop")
LONG_AGO = "2020-01-01 12:00:00+00:00"
ALREADY, SAVED = frozenset({409}), frozenset({200})


class Operation:
    """Someone at work: signs in once, and takes turns until the server is gone."""

    kinds: tuple[str, ...] = ()
    people: tuple[tuple[str, str], ...] = (ODILE,)

    def __init__(self, server: SqliteServer, noted: Noted, dice: random.Random) -> None:
        self.server, self.noted, self.dice = server, noted, dice
        self.clients: list[Client] = []
        self.open: tuple[Client, Sent] | None = None  # sent, and not answered
        self.look()

    def look(self) -> None:
        """Finds in the database whom and what it works with."""

    def begin(self) -> None:
        """A sign-in outlives the server. What was under way when it went is sent again."""
        if not self.clients:
            clients = [Client(self.server.url) for _ in self.people]
            for client, (name, code) in zip(clients, self.people, strict=True):
                client.sign_in(name, code)
            self.clients = clients
        if self.open:
            self.noted.post_again(*self.open)
            self.open = None

    def turn(self) -> None:
        raise NotImplementedError

    def finish(self) -> None:
        """Once the killing is over: sends again what was not answered."""
        self.begin()

    def stop(self) -> None:
        """Ends what would outlive the server."""

    def post(self, client: Client, sent: Sent) -> int:
        self.open = (client, sent)
        status = self.noted.post(client, sent)
        self.open = None
        return status


class Quiz(Operation):
    """A student takes a quiz again and again; the teacher voids each attempt, so that the next one can begin."""

    kinds = ("answer", "hand-in", "void")
    people = ((STUDENT, DEMO_CODE), ODILE)
    OPEN = "SELECT id FROM quizzes_attempt WHERE student_id = ? AND bank_id = ? AND voided_at IS NULL AND {} LIMIT 1"

    def look(self) -> None:
        [(self.student,)] = self.server.rows("SELECT id FROM school_person WHERE name = ?", STUDENT)
        tried = "SELECT bank_id FROM quizzes_attempt WHERE student_id = ?"
        published = f"SELECT bank_id FROM quizzes_edition WHERE bank_id NOT IN ({tried}) ORDER BY bank_id LIMIT 1"  # noqa: S608
        [(self.bank,)] = self.server.rows(published, self.student)

    def turn(self) -> None:
        """One attempt from where it stands to the hand-in, or the voiding of one that is handed in."""
        student, desk = self.clients
        if handed_in := self._attempt("handed_in_at IS NOT NULL"):
            fields = {"reason": ["To be done again"]}
            self.post(desk, Sent("void", handed_in, f"/attempts/{handed_in}/void/", fields, done_before=ALREADY))
        elif (attempt := self._attempt("handed_in_at IS NULL")) is None:
            student.post(f"/quizzes/{self.bank}/start/", {})
        else:
            self._answer(student, attempt)
            self.post(student, Sent("hand-in", attempt, f"/attempts/{attempt}/hand-in/", {}))

    def _attempt(self, condition: str) -> str | None:
        found = self.server.rows(self.OPEN.format(condition), self.student, self.bank)
        return str(uuid.UUID(str(found[0][0]))) if found else None

    def _answer(self, student: Client, attempt: str) -> None:
        [(form,)] = self.server.rows("SELECT form FROM quizzes_attempt WHERE id = ?", uuid.UUID(attempt).hex)
        lines = lines_of(json.loads(str(form)))
        wrong = self.dice.sample(range(1, len(lines) + 1), len(lines) // 2)
        given = "SELECT question FROM quizzes_answer WHERE attempt_id = ?"
        kept = {code for (code,) in self.server.rows(given, uuid.UUID(attempt).hex)}
        for number, sent in enumerate(model_of(self.server, uuid.UUID(attempt), wrong), 1):
            code = lines[number - 1].code
            if code in kept and self.dice.random() < MOSTLY:
                continue
            path = f"/attempts/{attempt}/questions/{number}/save/"
            note = partial(self._note, attempt, lines[number - 1], sent)
            self.post(student, Sent("answer", f"{attempt} {code}", path, dict(sent), SAVED, note=note))

    def _note(self, attempt: str, line: FormQuestion, sent: Answered, client: Client) -> None:
        revision = json.loads(client.said)["revision"]
        self.noted.answers[attempt, line.code] = (revision, read_response(line, sent))
        self.noted.saves += 1


class SignOffs(Operation):
    """A teacher signs a student off on a machine, undoes it, signs off again."""

    kinds = ("sign-off", "undoing")
    CLEARED = (
        "SELECT s.student_id, s.machine_id, k.demonstration, s.id FROM machines_signoff s "
        "JOIN machines_machine m ON m.id = s.machine_id JOIN machines_machinekind k ON k.id = m.kind_id "
        "JOIN school_person p ON p.id = s.by_id WHERE p.name = ? AND s.undone_at IS NULL "
        "AND s.withdrawn_at IS NULL AND s.renews_id IS NULL AND NOT EXISTS "
        "(SELECT 1 FROM machines_tagout t WHERE t.machine_id = m.id AND t.returned_at IS NULL) AND NOT EXISTS "
        "(SELECT 1 FROM machines_hold h WHERE h.student_id = s.student_id AND h.lifted_at IS NULL) "
        "ORDER BY s.at DESC, s.id LIMIT 1"
    )
    ACTIVE = (
        "SELECT id, entry_id FROM machines_signoff WHERE student_id = ? AND machine_id = ? "
        "AND undone_at IS NULL AND withdrawn_at IS NULL ORDER BY id DESC LIMIT 1"
    )

    def look(self) -> None:
        [(self.student, self.machine, points, self.first)] = self.server.rows(self.CLEARED, ODILE[0])
        self.points = json.loads(str(points))

    def turn(self) -> None:
        [desk], tap = self.clients, str(uuid.uuid4())
        active = self.server.rows(self.ACTIVE, self.student, self.machine)
        if not active:
            fields = {"tap": [tap], "point": self.points}
            self.post(desk, Sent("sign-off", tap, f"/machines/{self.machine}/sign-off/{self.student}/", fields))
        elif active[0][0] == self.first or self.dice.random() < 1 / 3:
            key = str(active[0][0])
            fields = {"tap": [tap], "reason": ["Once more"]}
            self.post(desk, Sent("withdrawal", key, f"/sign-offs/{key}/withdraw/", fields))
        else:
            key = str(active[0][0])
            self.post(desk, Sent("undoing", key, f"/sign-offs/{key}/undo/", {}))


class Holds(Operation):
    """A teacher puts a student on hold and lifts it, tags a machine out and returns it to service."""

    kinds = ("hold", "lift", "tag-out", "return")

    def look(self) -> None:
        """Another student and another machine than those of the sign-offs, or these would be refused."""
        [(cleared, machine, _, _)] = self.server.rows(SignOffs.CLEARED, ODILE[0])
        [(self.student, self.section)] = self.server.rows(
            "SELECT e.student_id, e.section_id FROM school_enrolment e JOIN school_section_teachers t "
            "ON t.section_id = e.section_id JOIN school_person p ON p.id = t.person_id WHERE p.name = ? AND NOT EXISTS "
            "(SELECT 1 FROM machines_hold h WHERE h.student_id = e.student_id) AND e.student_id <> ? "
            "ORDER BY e.student_id LIMIT 1",
            ODILE[0],
            cleared,
        )
        [(self.machine,)] = self.server.rows(
            "SELECT m.id FROM machines_machine m WHERE m.retired_at IS NULL AND m.id <> ? AND NOT EXISTS "
            "(SELECT 1 FROM machines_tagout t WHERE t.machine_id = m.id) ORDER BY m.id DESC LIMIT 1",
            machine,
        )

    def turn(self) -> None:
        self._hold() if self.dice.random() < 1 / 2 else self._tag_out()

    def _hold(self) -> None:
        [desk], tap = self.clients, str(uuid.uuid4())
        held = "SELECT id FROM machines_hold WHERE student_id = ? AND lifted_at IS NULL"
        if found := self.server.rows(held, self.student):
            key = str(found[0][0])
            fields = {"words": ["We talked"]}
            self.post(desk, Sent("lift", key, f"/holds/{key}/lift/", fields, done_before=ALREADY))
        else:
            fields = {"tap": [tap], "where": ["all"], "reason": ["dress"], "lifts": ["talk"]}
            path = f"/classes/{self.section}/register/{self.student}/hold/"
            self.post(desk, Sent("hold", tap, path, fields))

    def _tag_out(self) -> None:
        [desk], tap = self.clients, str(uuid.uuid4())
        out = "SELECT id FROM machines_tagout WHERE machine_id = ? AND returned_at IS NULL"
        if found := self.server.rows(out, self.machine):
            key = str(found[0][0])
            desk.get(f"/tag-outs/{key}/return/")
            fields = {**all_yes(desk.said.decode()), "found": ["New blade, test cut"], "reason": ["Away"]}
            self.post(desk, Sent("return", key, f"/tag-outs/{key}/return/", fields, done_before=ALREADY))
        else:
            fields = {"tap": [tap], "reason": ["Blade cracked"]}
            self.post(desk, Sent("tag-out", tap, f"/machines/{self.machine}/tag-out/", fields))


def all_yes(page: str) -> dict[str, list[str]]:
    """What the page of a list sends with every line answered yes."""
    return {name: ["yes"] for name in LINE.findall(page)} | {name: [value] for name, value in HIDDEN.findall(page)}


class ClassLists(Operation):
    """A teacher brings class lists in, each with students who are new to the school; the office erases some of them."""

    kinds = ("class list", "erasure")
    people = (ODILE, LOTTE)
    LEFT = "UPDATE school_enrolment SET from_day = '2020-01-01', until_day = '2020-01-02' WHERE student_id = ?"

    def look(self) -> None:
        [(self.section,)] = self.server.rows(
            "SELECT t.section_id FROM school_section_teachers t JOIN school_person p ON p.id = t.person_id "
            "WHERE p.name = ? ORDER BY t.section_id LIMIT 1",
            ODILE[0],
        )
        self.lists: list[str] = []

    def turn(self) -> None:
        self._erase() if self.lists and self.dice.random() < 1 / 2 else self._list()

    def _list(self) -> None:
        key = str(uuid.uuid4())
        family = key[:8].translate(LETTERS).capitalize()
        rows = [f"{family}\t{'ABCDEFGH'[place]}dam\t{key[:8]}-{place}" for place in range(ROWS)]
        text = "\n".join(["Last name\tFirst name\tID", *rows])
        fields = {"text": [text], "key": [key], "step": ["apply"]}
        self.lists.append(key[:8])
        self.post(self.clients[0], Sent("class list", key, f"/people/import/{self.section}/", fields))

    def _erase(self) -> None:
        """One of a list that came: the time since the student left is made to have passed."""
        listed = "SELECT id, name FROM school_person WHERE local_id LIKE ? ORDER BY id LIMIT 1"
        found = self.server.rows(listed, f"{self.dice.choice(self.lists)}-_")
        if not found:
            return
        [(person, name)] = found
        self.server.write(self.LEFT, person)
        fields = {"reason": ["Left the school"], "typed": [str(name)]}
        self.post(self.clients[1], Sent("erasure", str(person), f"/students/{person}/erase/", fields))


class PrintSets(Operation):
    """A teacher asks for a set of the cards that are out of date, and fetches it. Its worker dies with the server."""

    kinds = ("print set",)
    worker = None

    def look(self) -> None:
        [(self.shop,)] = self.server.rows(
            "SELECT s.shop_id FROM school_shop_teachers s JOIN school_person p ON p.id = s.person_id WHERE p.name = ?",
            ODILE[0],
        )
        self.asked: str | None = None
        [(_, machine, _, _)] = self.server.rows(SignOffs.CLEARED, ODILE[0])
        with tempfile.TemporaryDirectory() as folder:  # posted, and out of date with the next sign-off
            self.server.manage("wall_card", str(machine), "--out", f"{folder}/card.pdf")

    def begin(self) -> None:
        super().begin()
        self.server.write("UPDATE machines_printset SET beat_at = ? WHERE state = 'printing'", LONG_AGO)

    def turn(self) -> None:
        [desk] = self.clients
        if self.asked is None:
            self.asked = str(uuid.uuid4())
            self.post(
                desk, Sent("asking for prints", self.asked, f"/prints/{self.shop}/sets/stale/", {"key": [self.asked]})
            )
        with self.noted.doing("print set"):
            self.worker = self.server.worker()
            self.worker.wait(timeout=120)
        if desk.get(f"/prints/sets/{self.asked}/set.zip") == 200:
            assert zipfile.ZipFile(io.BytesIO(desk.said)).testzip() is None
            self.noted.acts.append(("print set", self.asked))
            self.asked = None
        elif self.server.rows("SELECT 1 FROM machines_printset WHERE key = ? AND state = 'ready'", self.key):
            self.asked = None  # an erasure has swept its file away: it named someone

    def finish(self) -> None:
        """The last set is made, however often its worker was killed."""
        super().finish()
        while self.asked:
            self.turn()

    @property
    def key(self) -> str:
        return uuid.UUID(self.asked).hex

    def stop(self) -> None:
        if self.worker is not None and self.worker.poll() is None:
            self.worker.kill()


def under_way(operation: Operation, stop: threading.Event, broken: list[Exception]) -> Callable[[], None]:
    """Does it over and over until the server is gone."""

    def work() -> None:
        try:
            operation.begin()
            while not stop.is_set():
                operation.turn()
        except Unanswered:
            pass
        except Exception as error:
            broken.append(error)

    return work


def all_operations(server: SqliteServer, noted: Noted, seed: int) -> Sequence[Operation]:
    kinds: tuple[type[Operation], ...] = (Quiz, SignOffs, Holds, ClassLists, PrintSets)
    return [kind(server, noted, random.Random(seed + place)) for place, kind in enumerate(kinds)]
