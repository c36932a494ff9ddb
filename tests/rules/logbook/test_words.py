"""What the logbook says of machines, quizzes and people."""

from typing import Any

import pytest

from machines.words import logbook as machines
from quizzes import logbook_words as quizzes
from shopsafe.logbook.sentences import KINDS, sentence
from shopsafe.school import logbook_words as school
from tests.logbook.appended import kinds as appended_kinds
from tests.rules.logbook.cases import MORE_CASES
from tests.rules.logbook.floor_cases import FLOOR_CASES
from tests.rules.logbook.incident_cases import INCIDENT_CASES

STUDENT, BY = {"id": 7, "name": "A. Kaya"}, {"id": 1, "name": "Ms Ferrant"}
PERSON = {"id": 10, "name": "Mr Bexley"}
SAW = {"id": 2, "name": "Band saw 2"}
BANK = {"id": 3, "name": "Band saw"}
CLASS = {"id": 4, "name": "Period 3"}
SHOP = {"id": 6, "name": "Room W"}
KIND = {"id": 8, "name": "Scroll saw"}
EDITION = {"id": 9, "name": "2"}

BERTHA = {"id": 11, "name": "Big Bertha 1", "own_name": True}

CARD = {"student": STUDENT, "bank": BANK, "rule": {"code": "g", "says": "Set the guard low."}}
SAID: list[tuple[str, dict[str, Any], str]] = [
    (
        "signoff.made",
        {"student": STUDENT, "machine": SAW, "by": BY, "points": ["a", "b", "c", "d", "e"]},
        "Sign-off: A. Kaya on band saw 2 by Ms Ferrant, 5 of 5 points",
    ),
    (
        "print.made",
        {"sheet": "wall card", "code": "DX44-6H", "machine": BERTHA, "sections": [CLASS], "by": BY},
        "Print: wall card DX44-6H of Big Bertha 1 for Period 3 by Ms Ferrant",
    ),
    (
        "machine.renamed",
        {"before": "Band saw 2", "machine": BERTHA, "by": BY},
        "Machine changed: Band saw 2 is Big Bertha 1 now, by Ms Ferrant",
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
        "Hold: A. Kaya, every machine, by Ms Ferrant: Horseplay, until February 28, 2026",
    ),
    (
        "hold.lifted",
        {"student": STUDENT, "machines": [SAW, BANK], "by": BY, "words": "We talked", "last_day": None},
        "Hold lifted: A. Kaya, Band saw 2, Band saw, by Ms Ferrant: We talked",
    ),
    (
        "hold.placed",
        {"student": STUDENT, "machines": "every machine", "by": BY, "why": "He ran.", "last_day": "2026-02-28"},
        "Hold: A. Kaya, every machine, by Ms Ferrant: He ran, until February 28, 2026",
    ),
    (
        "machine.tagged_out",
        {"machine": SAW, "by": BY, "reason": "Blade cracked."},
        "Tagged out: band saw 2 by Ms Ferrant: Blade cracked",
    ),
    (
        "agreement.taken_back",
        {"student": STUDENT, "by": BY, "year": 2026, "reason": "The other Kaya."},
        "Safety agreement withdrawn: A. Kaya for 2026, by Ms Ferrant: The other Kaya",
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
        "Term changed: Autumn term, September 1, 2026 to December 18, 2026,"
        " was Autumn, September 1, 2026 to December 11, 2026, by Ms Ferrant",
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
        "Requirements: every band saw asks for Band saw, Drill press from December 1, 2026, set by Ms Ferrant",
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
        "attempt.practiced",
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
        "Approval withdrawn: Band saw, edition 2, by Ms Ferrant: Gap is not ours",
    ),
    ("rule.read", CARD, "Rule card read and recalled: A. Kaya, Band saw: Set the guard low"),
    ("rule.checked", CARD, "Check question answered, which counts for nothing: A. Kaya, Band saw: Set the guard low"),
    (
        "section.renamed",
        {"section": CLASS, "by": BY, "before": "P3"},
        "Class renamed: P3 is Period 3 now, by Ms Ferrant",
    ),
    ("shop.renamed", {"shop": SHOP, "by": BY, "before": "W1"}, "Shop renamed: W1 is Room W now, by Ms Ferrant"),
    ("staff.password_set", {"person": PERSON, "by": BY, "role": "teacher"}, "New password: Mr Bexley by Ms Ferrant"),
    (
        "staff.access_ended",
        {"person": PERSON, "by": BY, "role": "teacher"},
        "Access ended: Mr Bexley, teacher, by Ms Ferrant",
    ),
    (
        "staff.let_in_again",
        {"person": PERSON, "by": BY, "role": "office"},
        "Access restored: Mr Bexley, office, by Ms Ferrant",
    ),
    (
        "student.enrolled",
        {"student": STUDENT, "section": CLASS, "at_console": True, "new": True},
        "Enrollment: A. Kaya into Period 3 by the server's console, new to the school",
    ),
    (
        "agreement.recorded",
        {"student": STUDENT, "by": BY, "year": 2026, "signed_on": "2026-09-01"},
        "Safety agreement: A. Kaya for 2026, signed September 1, 2026, recorded by Ms Ferrant",
    ),
    (
        "roster.imported",
        {"section": CLASS, "by": BY, "added": 1, "file": ""},
        "Class list: 1 student into Period 3 from a pasted list by Ms Ferrant",
    ),
    (
        "accommodation.given",
        {"student": STUDENT, "by": BY, "given": ["Read aloud", "Larger type"]},
        "Accommodations: A. Kaya: Read aloud, Larger type. Given by Ms Ferrant",
    ),
    (
        "accommodation.given",
        {"student": STUDENT, "by": BY, "given": []},
        "Accommodations: A. Kaya: none from now on. Given by Ms Ferrant",
    ),
    (
        "attempt.printed",
        {"student": STUDENT, "bank": BANK, "edition": EDITION, "on_paper": "7K3D-QV", "by": BY},
        "Quiz on paper: A. Kaya gets the Band saw quiz, edition 2, code 7K3D-QV, from Ms Ferrant",
    ),
    (
        "attempt.passed",
        {"student": STUDENT, "bank": BANK, "correct": 4, "asked": 4, "purpose": "refresher", "on_paper": "7", "by": BY},
        "Perfect attempt: A. Kaya in the Band saw refresher, 4 of 4 right, on paper 7, entered by Ms Ferrant",
    ),
    (
        "attempt.voided",
        {"student": STUDENT, "bank": BANK, "by": BY, "reason": "Fire alarm."},
        "Attempt voided: A. Kaya in the Band saw quiz, by Ms Ferrant: Fire alarm",
    ),
    (
        "bank.added",
        {"bank": BANK, "by": BY, "from": "shelf", "rules": 14},
        "Bank added: Band saw, from the starter banks, 14 rules, by Ms Ferrant",
    ),
    ("bank.added", {"bank": BANK, "from": "file", "rules": 1}, "Bank added: Band saw, from a file, 1 rule"),
    (
        "blueprint.set",
        {
            "bank": BANK,
            "by": BY,
            "blueprint": {"ask": 12, "must_ask": ["a", "b"], "wait_minutes": 20, "misses_a_day": 3},
        },
        "Quiz settings changed: Band saw: 12 questions, 2 rules every time, 20 minutes of waiting, 3 misses a day,"
        " by Ms Ferrant",
    ),
    (
        "edition.published",
        {"bank": BANK, "edition": EDITION, "by": BY},
        "Edition published: Band saw, edition 2, by Ms Ferrant",
    ),
    (
        "hold.rule_learned",
        {"student": STUDENT, "bank": BANK, "rule": {"code": "g", "says": "Set the guard low."}},
        "Rule card read and recalled, for a hold: A. Kaya, Band saw: Set the guard low",
    ),
    ("kind.added", {"machine_kind": KIND}, "Kind of machine: Scroll saw, with its ready-made bank"),
    ("kind.added", {"machine_kind": KIND, "by": BY}, "Kind of machine: Scroll saw by Ms Ferrant"),
    (
        "kind.changed",
        {
            "machine_kind": KIND,
            "by": BY,
            "before": {"name": "Scroll saw", "stop": "Red switch", "protect": ["eyes"], "pre_use": []},
            "after": {"name": "Scroll saw", "stop": "Foot switch", "protect": ["eyes", "ears"], "pre_use": []},
        },
        "Kind of machine changed: Scroll saw, how it is stopped, what is worn, by Ms Ferrant",
    ),
    (
        "logbook.erased",
        {"by": BY, "seqs": [3, 4], "reason": "The family asked for it."},
        "Erasure: what 2 entries said was erased by Ms Ferrant: The family asked for it",
    ),
    (
        "logbook.restated",
        {"restates": {"entry": 7, "kind": "machine.tagged_out"}, "machine": SAW, "by": BY, "reason": "Blade cracked"},
        "Written again: entry 7, without someone whose record was erased."
        " Tagged out: band saw 2 by Ms Ferrant: Blade cracked",
    ),
    ("machine.added", {"machine": SAW, "shop": SHOP, "by": BY}, "Machine: band saw 2 into Room W by Ms Ferrant"),
    (
        "machine.renamed",
        {"machine": {"id": 2, "name": "The tall one 12"}, "before": "Band saw 2", "by": BY},
        "Machine changed: Band saw 2 is the tall one 12 now, by Ms Ferrant",
    ),
    (
        "machine.retired",
        {"machine": SAW, "shop": SHOP, "by": BY},
        "Machine left: band saw 2 out of Room W, by Ms Ferrant",
    ),
    (
        "machine.returned",
        {"machine": SAW, "by": BY, "inspection": "New blade."},
        "Returned to service: band saw 2 by Ms Ferrant: New blade",
    ),
    (
        "record.exported",
        {"student": STUDENT, "by": BY, "form": "PDF"},
        "Evidence file: A. Kaya, made by Ms Ferrant as PDF",
    ),
    (
        "record.kept",
        {"student": STUDENT, "by": BY, "reason": "A claim is open."},
        "Record kept: A. Kaya by Ms Ferrant: A claim is open",
    ),
    (
        "record.let_go",
        {"student": STUDENT, "by": BY, "reason": "A claim is open."},
        "Record kept no longer: A. Kaya by Ms Ferrant: A claim is open",
    ),
    (
        "retention.set",
        {"years": 1, "years_after_injury": None, "by": BY},
        "How long records are kept: 1 year after leaving, no end set after an injury, by Ms Ferrant",
    ),
    ("school.founded", {"school": "Alderbeck", "office": BY}, "School begun: Alderbeck, office Ms Ferrant"),
    (
        "section.added",
        {"section": CLASS, "teachers": [], "by": BY},
        "Class: Period 3, taught by no one yet, by Ms Ferrant",
    ),
    (
        "section.teachers_set",
        {"section": CLASS, "teachers": [BY], "by": STUDENT},
        "Teachers of a class: Period 3, taught by Ms Ferrant, by A. Kaya",
    ),
    ("shop.added", {"shop": SHOP, "teachers": [BY], "by": BY}, "Shop: Room W, shared by Ms Ferrant, by Ms Ferrant"),
    ("slip.issued", {"student": STUDENT, "by": BY}, "Sign-in slip: A. Kaya by Ms Ferrant"),
    ("staff.added", {"person": STUDENT, "role": "substitute", "by": BY}, "Staff: A. Kaya as substitute by Ms Ferrant"),
    (
        "student.name_corrected",
        {"student": STUDENT, "by": BY, "before": {"name": "Kaya"}, "after": {"name": "A. Kaya"}},
        "Name corrected: Kaya is A. Kaya now, by Ms Ferrant",
    ),
    (
        "student.name_corrected",
        {
            "student": STUDENT,
            "by": BY,
            "before": {"name": "A. Kaya", "given": "A. Kaya", "family": ""},
            "after": {"name": "A. Kaya", "given": "A.", "family": "Kaya"},
        },
        "Name corrected: A. Kaya: given name A., family name Kaya, by Ms Ferrant",
    ),
    ("student.let_in", {"student": STUDENT, "by": BY}, "Unlocked: A. Kaya by Ms Ferrant after wrong codes"),
    (
        "student.released",
        {"student": STUDENT, "bank": BANK, "by": BY},
        "Released: A. Kaya for another go at the Band saw quiz by Ms Ferrant",
    ),
    (
        "term.added",
        {"term": {"id": 5, "name": "Spring"}, "first_day": "2027-01-18", "last_day": "2027-06-04", "by": BY},
        "Term: Spring, January 18, 2027 to June 4, 2027, by Ms Ferrant",
    ),
    (
        "bank.correction_offered",
        {"bank": BANK, "digest": "abc", "corrections": [{"rule": "guard-low", "says": "Set the guard low."}]},
        "Starter bank corrected: Band saw: 1 correction. A teacher decides",
    ),
    (
        "bank.corrected",
        {
            "bank": BANK,
            "edition": EDITION,
            "by": BY,
            "corrections": [
                {"rule": "guard-low", "says": "Set the guard low."},
                {"rule": "flat", "says": "Hold it flat."},
            ],
        },
        "Corrections taken: Band saw, edition 2, by Ms Ferrant: Set the guard low; Hold it flat",
    ),
    (
        "bank.correction_declined",
        {"bank": BANK, "by": BY, "digest": "abc", "corrections": [], "reason": "Our manual differs."},
        "Corrections declined: Band saw, by Ms Ferrant: Our manual differs",
    ),
    (
        "value.set",
        {
            "bank": BANK,
            "edition": EDITION,
            "value": "guard-gap",
            "says": "Guard above the wood",
            "before": "1/8 in",
            "after": "1/4 in",
            "source": "manual, page 3",
            "by": BY,
        },
        "Shop's own number: Band saw, edition 2: Guard above the wood from 1/8 in to 1/4 in (manual, page 3),"
        " by Ms Ferrant",
    ),
    (
        "words.set",
        {"shop": SHOP, "sheet": "Substitute sheet", "by": BY},
        "Words of a sheet: substitute sheet of Room W by Ms Ferrant",
    ),
]


ALL_CASES = SAID + MORE_CASES + FLOOR_CASES + INCIDENT_CASES


@pytest.mark.parametrize(("kind", "payload", "said"), ALL_CASES, ids=[kind for kind, _, _ in ALL_CASES])
def test_says(kind: str, payload: dict[str, Any], said: str) -> None:
    assert sentence(kind, payload) == said


def test_every_word_is_registered() -> None:
    for words in (school.WORDS, quizzes.WORDS, machines.WORDS):
        assert {kind: KINDS[kind] for kind in words} == words


def test_every_appended_kind_has_words_and_no_other() -> None:
    appended = set(appended_kinds())
    assert len(appended) > 40
    assert {kind for kind, _, _ in ALL_CASES} == appended
    assert set(KINDS) == appended
