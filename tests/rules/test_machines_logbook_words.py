"""What the logbook says of machines, quizzes and people."""

from typing import Any

import pytest

from machines import logbook_words as machines
from quizzes import logbook_words as quizzes
from shopsafe.logbook.sentences import KINDS, sentence
from shopsafe.school import logbook_words as school

STUDENT, BY = {"id": 7, "name": "A. Kaya"}, {"id": 1, "name": "Ms Ferrant"}
SAW = {"id": 2, "name": "Band saw 2"}
BANK = {"id": 3, "name": "Band saw"}
CLASS = {"id": 4, "name": "Period 3"}

SAID: list[tuple[str, dict[str, Any], str]] = [
    (
        "signoff.made",
        {"student": STUDENT, "machine": SAW, "by": BY, "points": ["a", "b", "c", "d", "e"]},
        "Sign-off: A. Kaya on band saw 2 by Ms Ferrant, 5 of 5 points",
    ),
    (
        "signoff.made",
        {"student": STUDENT, "machine": {"id": 5, "name": "CNC router 1"}, "by": BY, "points": ["a"]},
        "Sign-off: A. Kaya on CNC router 1 by Ms Ferrant, 1 of 1 point",
    ),
    (
        "signoff.undone",
        {"student": STUDENT, "machine": SAW, "by": BY},
        "Sign-off undone: A. Kaya on band saw 2 by Ms Ferrant, within ten minutes",
    ),
    (
        "signoff.withdrawn",
        {"student": STUDENT, "machine": SAW, "by": BY, "reason": "Wrong student"},
        "Sign-off withdrawn: A. Kaya on band saw 2 by Ms Ferrant: Wrong student",
    ),
    (
        "print.made",
        {"sheet": "wall card", "code": "7K3D-QV", "machine": SAW, "sections": [CLASS], "by": BY, "replaces": "4X7M-2R"},
        "Print: wall card 7K3D-QV of band saw 2 for Period 3 by Ms Ferrant, in place of 4X7M-2R",
    ),
    (
        "print.taken_down",
        {"sheet": "wall chart", "code": "7K3D-QV", "sections": [], "by": BY},
        "Print taken down: wall chart 7K3D-QV for the whole shop by Ms Ferrant",
    ),
    (
        "hold.placed",
        {"student": STUDENT, "machines": "every machine", "by": BY, "why": "Horseplay", "last_day": "2026-02-28"},
        "Hold: A. Kaya, every machine, by Ms Ferrant: Horseplay, until 28 February 2026",
    ),
    (
        "hold.lifted",
        {"student": STUDENT, "machines": [SAW, BANK], "by": BY, "words": "We talked", "last_day": None},
        "Hold lifted: A. Kaya, Band saw 2, Band saw, by Ms Ferrant: We talked",
    ),
    (
        "hold.placed",
        {"student": STUDENT, "machines": "every machine", "by": BY, "why": "He ran.", "last_day": "2026-02-28"},
        "Hold: A. Kaya, every machine, by Ms Ferrant: He ran, until 28 February 2026",
    ),
    (
        "machine.tagged_out",
        {"machine": SAW, "by": BY, "reason": "Blade cracked."},
        "Tagged out: band saw 2 by Ms Ferrant: Blade cracked",
    ),
    (
        "agreement.taken_back",
        {"student": STUDENT, "by": BY, "year": 2026, "reason": "The other Kaya."},
        "Safety agreement taken back: A. Kaya for 2026, by Ms Ferrant: The other Kaya",
    ),
    (
        "term.changed",
        {
            "term": {"id": 5, "name": "Autumn term"},
            "first_day": "2026-09-01",
            "last_day": "2026-12-18",
            "before": {"called": "Autumn", "first_day": "2026-09-01", "last_day": "2026-12-11"},
            "by": BY,
        },
        "Term changed: Autumn term, 1 September 2026 to 18 December 2026,"
        " was Autumn, 1 September 2026 to 11 December 2026, by Ms Ferrant",
    ),
    (
        "machine.tagged_out",
        {"machine": SAW, "by": BY, "reason": "Blade cracked"},
        "Tagged out: band saw 2 by Ms Ferrant: Blade cracked",
    ),
    (
        "requirements.set",
        {
            "machine_kind": {"id": 1, "name": "Band saw"},
            "by": BY,
            "banks": [BANK],
            "machine_kinds": [{"id": 5, "name": "Drill press"}],
            "machines": [],
            "from_day": "2026-12-01",
        },
        "Requirements: every band saw asks for Band saw, Drill press from 1 December 2026, set by Ms Ferrant",
    ),
    (
        "attempt.passed",
        {"student": STUDENT, "bank": BANK, "edition": {"id": 9, "name": "2"}, "correct": 12, "asked": 12},
        "Perfect attempt: A. Kaya in the Band saw quiz, edition 2, 12 of 12 right",
    ),
    (
        "attempt.missed",
        {"student": STUDENT, "bank": BANK, "missed_rules": [{}, {}]},
        "Missed attempt: A. Kaya in the Band saw quiz, 2 rules to learn again",
    ),
    (
        "attempt.practised",
        {"student": STUDENT, "bank": BANK, "edition": {"id": 9, "name": "1"}, "correct": 11, "asked": 12},
        "Practice: A. Kaya in the Band saw quiz, edition 1, 11 of 12 right. It counts for nothing",
    ),
    (
        "bank.accepted",
        {"bank": BANK, "edition": {"id": 9, "name": "2"}, "by": BY},
        "Rules accepted: Band saw, edition 2, by Ms Ferrant",
    ),
    (
        "bank.acceptance_taken_back",
        {"bank": BANK, "edition": {"id": 9, "name": "2"}, "by": BY, "reason": "Gap is not ours."},
        "Acceptance taken back: Band saw, edition 2, by Ms Ferrant: Gap is not ours",
    ),
    (
        "rule.read",
        {"student": STUDENT, "bank": BANK, "rule": {"code": "g", "says": "Set the guard low."}},
        "Rule learned again: A. Kaya, Band saw: Set the guard low",
    ),
    (
        "student.enrolled",
        {"student": STUDENT, "section": CLASS, "at_console": True, "new": True},
        "Enrolment: A. Kaya into Period 3 by the server's console, new to the school",
    ),
    (
        "agreement.recorded",
        {"student": STUDENT, "by": BY, "year": 2026, "signed_on": "2026-09-01"},
        "Safety agreement: A. Kaya for 2026, signed 1 September 2026, recorded by Ms Ferrant",
    ),
    (
        "roster.imported",
        {"section": CLASS, "by": BY, "added": 1, "file": ""},
        "Class list: 1 student into Period 3 from a pasted list by Ms Ferrant",
    ),
]


@pytest.mark.parametrize(("kind", "payload", "said"), SAID, ids=[kind for kind, _, _ in SAID])
def test_says(kind: str, payload: dict[str, Any], said: str) -> None:
    assert sentence(kind, payload) == said


def test_every_word_is_registered() -> None:
    for words in (school.WORDS, quizzes.WORDS, machines.WORDS):
        assert {kind: KINDS[kind] for kind in words} == words
