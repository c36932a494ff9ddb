"""What must be so after every kill: what was acknowledged stands, once, and nothing is half there."""

import json
import uuid
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

from tests.faults.kills.engines import SqliteServer
from tests.faults.kills.noted import Noted

# What was acknowledged → how many rows say so, by its key: one, no more and no fewer.
STORED = {
    "hand-in": "SELECT count(entry_id) FROM quizzes_attempt WHERE id = ? AND handed_in_at IS NOT NULL",
    "void": "SELECT count(*) FROM quizzes_attempt WHERE id = ? AND voided_at IS NOT NULL",
    "sign-off": "SELECT count(*) FROM machines_signoff WHERE tap = ? AND entry_id IS NOT NULL",
    "undoing": "SELECT count(*) FROM machines_signoff WHERE id = ? AND undone_at IS NOT NULL",
    "withdrawal": "SELECT count(*) FROM machines_signoff WHERE id = ? AND withdrawn_at IS NOT NULL",
    "hold": "SELECT count(*) FROM machines_hold WHERE tap = ? AND entry_id IS NOT NULL",
    "lift": "SELECT count(*) FROM machines_hold WHERE id = ? AND lifted_at IS NOT NULL",
    "tag-out": "SELECT count(*) FROM machines_tagout WHERE tap = ? AND entry_id IS NOT NULL",
    "return": "SELECT count(*) FROM machines_tagout WHERE id = ? AND returned_at IS NOT NULL",
    "class list": "SELECT count(*) FROM school_rosterimport WHERE key = ?",
    "asking for prints": "SELECT count(*) FROM machines_printset WHERE key = ?",
    "print set": "SELECT count(*) FROM machines_printset WHERE key = ? AND state = 'ready'",
    "erasure": "SELECT 1 - count(*) FROM school_person WHERE id = ?",
}
# A kind of entry → what names, in its words, that which happens once.
ONCE = {
    "attempt.passed": "attempt",
    "attempt.missed": "attempt",
    "attempt.voided": "attempt",
    "signoff.made": "sign_off",
    "signoff.undone": "sign_off",
    "signoff.withdrawn": "sign_off",
    "hold.placed": "hold",
    "hold.lifted": "hold",
    "machine.tagged_out": "tag_out",
    "machine.returned": "tag_out",
    "roster.imported": "digest",
    "student.enrolled": "local_id",
    "print.made": "code",
    "logbook.erased": "person_key",
}
# Rows that an act stores, and the kinds of entry it writes beside them: as many of the one as of the other. An entry
# whose words are erased counts where the rows stay.
TOGETHER = {
    "SELECT count(*) FROM quizzes_attempt WHERE handed_in_at IS NOT NULL": ("attempt.passed", "attempt.missed"),
    "SELECT count(*) FROM quizzes_attempt WHERE voided_at IS NOT NULL": ("attempt.voided",),
    "SELECT count(*) FROM machines_signoff": ("signoff.made",),
    "SELECT count(*) FROM machines_signoff WHERE undone_at IS NOT NULL": ("signoff.undone",),
    "SELECT count(*) FROM machines_signoff WHERE withdrawn_at IS NOT NULL": ("signoff.withdrawn",),
    "SELECT count(*) FROM machines_hold": ("hold.placed",),
    "SELECT count(*) FROM machines_hold WHERE lifted_at IS NOT NULL": ("hold.lifted",),
    "SELECT count(*) FROM machines_tagout": ("machine.tagged_out",),
    "SELECT count(*) FROM machines_tagout WHERE returned_at IS NOT NULL": ("machine.returned",),
    "SELECT count(*) FROM machines_print": ("print.made",),
    "SELECT count(*) FROM school_rosterimport": ("roster.imported",),
    "SELECT sum(added) FROM school_rosterimport": ("student.enrolled",),
    "SELECT count(*) + (SELECT count(*) FROM logbook_listing WHERE kind = 'logbook.erased') FROM school_enrolment": (
        "student.enrolled",
    ),
}
# None of these finds a row, whatever was killed.
NEVER = {
    "an entry without its body": "SELECT seq FROM logbook_entry WHERE seq NOT IN (SELECT seq FROM logbook_body) "
    "AND seq NOT IN (SELECT seq FROM logbook_erasure)",
    "an entry that is not listed": "SELECT seq FROM logbook_entry WHERE seq NOT IN (SELECT seq FROM logbook_listing)",
    "a person in no class": "SELECT id FROM school_person WHERE role = 'student' AND id NOT IN "
    "(SELECT student_id FROM school_enrolment)",
    "a tap that recorded nothing": "SELECT key FROM school_tap WHERE act IN ('hold', 'sign-off', 'tag-out') "
    "AND key NOT IN (SELECT tap FROM machines_hold UNION SELECT tap FROM machines_signoff "
    "UNION SELECT tap FROM machines_tagout)",
    "a print that is current twice": "SELECT target FROM machines_print WHERE replaced_at IS NULL "
    "AND taken_down_at IS NULL GROUP BY target HAVING count(*) > 1",
}
BROKEN = {
    "sqlite": {
        "a row that points nowhere": "PRAGMA foreign_key_check",
        "a broken file": "SELECT * FROM pragma_integrity_check WHERE integrity_check <> 'ok'",
    },
    "postgresql": {},
}
BODIES = "SELECT l.kind, b.payload FROM logbook_listing l JOIN logbook_body b ON b.seq = l.seq WHERE l.kind IN ({})"


def missing(server: SqliteServer, noted: Noted) -> list[str]:
    """What was acknowledged and does not stand once: "sign-off ... stands 2 times"."""
    wrong = []
    for kind, key in dict.fromkeys(noted.acts):
        [(times,)] = server.rows(STORED[kind], stored_key(key))
        if times != 1:
            wrong.append(f"{kind} {key} stands {times} times")
    return [*wrong, *missing_answers(server, noted)]


def stored_key(key: str) -> str | int:
    return uuid.UUID(key).hex if "-" in key else int(key)


def missing_answers(server: SqliteServer, noted: Noted) -> Iterator[str]:
    for (attempt, question), (revision, response) in noted.answers.items():
        kept = server.rows(
            "SELECT revision, response FROM quizzes_answer WHERE attempt_id = ? AND question = ?",
            uuid.UUID(attempt).hex,
            question,
        )
        # A later answer may have been stored whose acknowledgement never came.
        stored, said = (int(str(kept[0][0])), json.loads(str(kept[0][1]))) if kept else (0, None)
        if len(kept) != 1 or stored < revision or (stored == revision and said != response):
            yield f"answer to {question} of {attempt}"


def twice(server: SqliteServer) -> list[str]:
    """What the logbook says more than once, of what happens once."""
    marks = ", ".join("?" * len(ONCE))
    said: Counter[tuple[str, Any]] = Counter()
    for kind, payload in server.rows(BODIES.format(marks), *ONCE):
        body = json.loads(bytes(payload))  # type: ignore[call-overload]
        key = body.get(ONCE[str(kind)])
        said["handed in" if kind in ("attempt.passed", "attempt.missed") else str(kind), key] += 1
    return [f"{kind} of {key}: {times} entries" for (kind, key), times in said.items() if times > 1 and key]


def apart(server: SqliteServer) -> dict[str, int]:
    """How many more rows than entries there are, for each pair: the demo school was not all built by acts."""
    found = {}
    for sql, kinds in TOGETHER.items():
        [(rows,)], marks = server.rows(sql), ", ".join("?" * len(kinds))
        [(entries,)] = server.rows(f"SELECT count(*) FROM logbook_listing WHERE kind IN ({marks})", *kinds)  # noqa: S608
        found[sql] = int(str(rows or 0)) - int(str(entries))
    return found


def halves(server: SqliteServer, before: Mapping[str, int]) -> list[str]:
    half = [sql for sql, more in apart(server).items() if more != before[sql]]
    never = NEVER | BROKEN[server.engine]
    return half + [what for what, sql in never.items() if server.rows(sql)] + twice(server)
