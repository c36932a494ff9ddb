"""Quizzes on paper, evidence files, slips and reports in other languages: no sentence is left in English, and nothing
lies on anything else."""

import json
from collections.abc import Callable, Iterable, Sequence
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django.utils import translation

from machines.evidence.file import as_sheets, evidence_file
from quizzes.attempts.acts import start_on_paper
from quizzes.models import Attempt
from shopsafe.language.pseudo import PSEUDO
from shopsafe.logbook.acts.take_checkpoint import take_checkpoint
from shopsafe.logbook.models import Body
from shopsafe.logbook.rules import chain
from shopsafe.paper.press import render
from shopsafe.paper.press.worker import Carried
from tests.cast import Cast
from tests.factories.banks import kinds_text, published, take
from tests.factories.machines import NOON
from tests.language.shown import English, strings_in
from tests.language.test_prints import on_each_other
from tests.matrix.machines import written_up
from tests.paper import looking
from tests.rules.logbook.test_words import ALL_CASES

UNIT = "1/64 in"  # as it is stored
pytestmark = pytest.mark.django_db


def printed(client: Client, name: str, key: int, **sent: object) -> bytes:
    address = reverse(name, args=[key])
    response = client.post(address, sent) if sent else client.get(address)
    assert response.status_code == 200
    return b"".join(response) if response.streaming else response.content


def reader_of(payloads: Iterable[str | bytes]) -> English:
    """Records are kept in English: what they hold is left out."""
    reader = English()
    reader.known = [text.lower().rstrip(".") for payload in payloads for text in strings_in(json.loads(payload))]
    reader.known = [text for text in reader.known if len(text) > 2] + [UNIT]
    return reader


def on_paper(cast: Cast) -> Attempt:
    """A quiz of every kind of question, not answered yet."""
    bank = published(cast.teacher, kinds_text())
    return start_on_paper(student=cast.student, bank=bank.pk, by=cast.teacher, at=NOON)


def quiz(client: Client, cast: Cast) -> bytes:
    return printed(client, "paper-quiz-sheet", on_paper(cast).pk)


def key(client: Client, cast: Cast) -> bytes:
    return printed(client, "paper-quiz-key", on_paper(cast).pk)


def slips(client: Client, cast: Cast) -> bytes:
    return printed(client, "slips-issue", cast.section.pk, student=[cast.student.pk, cast.classmate.pk])


def evidence(client: Client, cast: Cast) -> bytes:
    """Of a student who missed a question of each kind."""
    take(cast.student, published(cast.teacher, kinds_text()), at=NOON - timedelta(hours=1), wrong=["r1"])
    return printed(client, "evidence", cast.student.pk, form="pdf")


def incident(client: Client, cast: Cast) -> bytes:
    return printed(client, "incident-file", written_up(cast)["incident"], form="report")


SHEETS: dict[str, Callable[[Client, Cast], bytes]] = {
    "quiz": quiz,
    "key": key,
    "slips": slips,
    "evidence": evidence,
    "incident": incident,
}
EVERY = pytest.mark.parametrize("make", SHEETS.values(), ids=SHEETS)


@pytest.fixture
def teacher(client: Client, cast: Cast) -> Client:
    client.force_login(cast.teacher)
    return client


@EVERY
def test_sheet_leaves_no_sentence_in_english(
    make: Callable[[Client, Cast], bytes], teacher: Client, cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    htmls: list[str] = []

    def noted(sheets: Sequence[str], variant: str | None, inside: Carried = None) -> bytes:
        htmls.extend(sheets)
        return b""

    monkeypatch.setattr(render, "to_pdf", noted)
    with time_machine.travel(NOON), translation.override("en-xa"):
        make(teacher, cast)
    reader = reader_of(body.payload for body in Body.objects.all())
    assert htmls
    assert {text for html in htmls for text in reader.left_on(html)} == set()


@EVERY
@pytest.mark.parametrize("language", PSEUDO)
def test_sheet_has_room_for_another_language(
    language: str, make: Callable[[Client, Cast], bytes], teacher: Client, cast: Cast
) -> None:
    with time_machine.travel(NOON), translation.override(language):
        pdf = make(teacher, cast)
    assert not list(on_each_other(pdf, smaller_than=1000))
    assert looking.white_edge(pdf) >= looking.NOT_PRINTED
    assert looking.structure(pdf)["lang"].lower() == language


def test_no_entry_of_an_evidence_file_leaves_a_sentence_in_english(cast: Cast) -> None:
    with time_machine.travel(NOON):
        take_checkpoint()
        whole: dict[str, Any] = evidence_file(cast.student)
    whole["entries"] = [
        {"seq": number, "at": NOON.isoformat(), "kind": kind, "payload": json.dumps(payload), "hash": "ab" * 32}
        for number, (kind, payload, _said) in enumerate(ALL_CASES, 1)
        if kind != chain.RESTATED
    ]
    reader = reader_of(entry["payload"] for entry in whole["entries"])
    with translation.override("en-xa"):
        html = as_sheets(whole, cast.student, NOON)
    assert reader.left_on(html) == set()
