"""The evidence file shows the drawing of a place question, from the edition and the picture that the record names."""

import json
from hashlib import sha256
from io import BytesIO
from typing import Any

import numpy as np
import pikepdf
import pytest
from django.test import Client
from django.urls import reverse
from PIL import Image

from quizzes.attempts.acts import hand_in, save_answer, start_attempt
from quizzes.banks.editions.redraw import drawings
from quizzes.banks.editions.texts import frozen
from quizzes.facts import BankPicture as Facts
from quizzes.models import Attempt, Picture
from quizzes.questions.form_data import lines_of
from shopsafe.logbook.models import Body
from shopsafe.logbook.verify_evidence import check
from tests.cast import Cast
from tests.factories.bank_texts import a_bank, every_kind
from tests.factories.machines import NOON, BankFactory, EditionFactory
from tests.paper import looking

pytestmark = pytest.mark.django_db
DRAWING = b'<rect width="480" height="320" fill="#808080"/>'
SVG = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 480 320">' + DRAWING + b"</svg>"
FACTS = Facts(digest=sha256(SVG).hexdigest(), kind="svg", width=480, height=320)
(SPOT,) = (question for question in every_kind() if question.kind == "spot")


@pytest.fixture
def attempt(cast: Cast) -> Attempt:
    """A quiz of one place question, handed in with the table edge pointed at."""
    Picture.objects.create(school=cast.school, digest=FACTS.digest, kind="svg", content=SVG)
    bank = BankFactory(school=cast.school, code="band-saw", subject="Band saw")
    content, digest = frozen(a_bank(questions=(SPOT,), ask=1), {"saw.svg": FACTS})
    EditionFactory(bank=bank, content=content, digest=digest)
    started_attempt = start_attempt(student=cast.student, bank=bank.pk, at=NOON, seed=3)
    (line,) = lines_of(started_attempt.form)
    chosen = next(option.id for option in line.options if option.place == 1)
    save_answer(
        student=cast.student, attempt=started_attempt.pk, number=1, sent={"answer": [chosen]}, revision=None, at=NOON
    )
    return hand_in(student=cast.student, attempt=started_attempt.pk, at=NOON)


@pytest.fixture
def client(cast: Cast) -> Client:
    client = Client()
    client.force_login(cast.teacher)
    return client


def made(client: Client, attempt: Attempt, form: str = "pdf") -> bytes:
    return client.post(reverse("evidence", args=[attempt.student_id]), {"form": form}).content


def payload_of(attempt: Attempt) -> dict[str, Any]:
    payload: dict[str, Any] = json.loads(bytes(Body.objects.get(entry=attempt.entry_id).payload))
    return payload


def said(pdf: bytes) -> str:
    return " ".join(looking.text(pdf).split())


def grey(sheet: Image.Image) -> int:
    """How many dots of the drawing's gray are on a sheet."""
    dots = np.asarray(sheet).astype(int)
    return int((abs(dots - 128) < 4).sum())


def test_drawing_is_printed_with_its_letters_and_source(client: Client, attempt: Attempt) -> None:
    pdf = made(client, attempt)
    text = said(pdf)
    assert f"picture of question 1, edition 1: {FACTS.digest[:16]}…" in text
    pages = range(len(looking.page_sizes(pdf)))
    assert max(grey(looking.raster(pdf, page, 100)) for page in pages) > 5000
    assert looking.structure(pdf)["silent_figures"] == 0


def test_only_what_was_pointed_at_is_marked(attempt: Attempt) -> None:
    payload = payload_of(attempt)
    (question,) = payload["questions"]
    redrawn = drawings([payload], attempt.school_id).of(payload, question)
    assert redrawn
    assert (redrawn.alt, redrawn.facts, redrawn.edition) == (SPOT.picture_alt, FACTS, 1)  # type: ignore[attr-defined]
    letters = {callout.letter: (callout.x, callout.y, chosen) for callout, chosen in redrawn.callouts}
    middles = {
        "In line with the blade": (6.7, 3.3),
        "On the table edge": (26.7, 3.3),
        "On the wheel cover": (46.7, 3.3),
    }
    assert letters == {shown[0]: (*middles[shown[3:]], shown[3:] == "On the table edge") for shown in question["shown"]}


def test_the_json_is_as_it_was_and_still_proves(client: Client, attempt: Attempt) -> None:
    whole = json.loads(made(client, attempt, "json"))
    assert check(whole) is None
    (question,) = json.loads(whole["entries"][0]["payload"])["questions"]
    assert question["picture"] == FACTS.digest
    assert "drawn" not in question
    with pikepdf.open(BytesIO(made(client, attempt))) as pdf:
        carried = json.loads(pdf.attachments["evidence.json"].get_file().read_bytes())
    assert check(carried) is None
    assert b"data:image" not in json.dumps(carried).encode()


@pytest.mark.parametrize("content", [None, SVG.replace(b"808080", b"909090")], ids=["gone", "another"])
def test_another_picture_is_never_shown_in_its_place(client: Client, attempt: Attempt, content: bytes | None) -> None:
    if content is None:
        Picture.objects.all().delete()
    else:
        Picture.objects.update(content=content)
    text = said(made(client, attempt))
    assert "The picture can’t be drawn again here." in text
    assert f"picture of question 1, edition 1: {FACTS.digest[:16]}…" in text


def test_changed_places_get_no_letters(attempt: Attempt) -> None:
    payload = payload_of(attempt)
    (question,) = payload["questions"]
    question["shown"] = ["A: Behind the door", *question["shown"][1:]]
    redrawn = drawings([payload], attempt.school_id).of(payload, question)
    assert redrawn
    assert redrawn.facts is None


def test_described_picture_is_marked_in_the_record(attempt: Attempt) -> None:
    payload = payload_of(attempt) | {"accommodations": ["Pictures described in words"]}
    redrawn = drawings([payload], attempt.school_id).of(payload, payload["questions"][0])
    assert redrawn
    assert redrawn.in_words


def test_a_photo_is_carried_small(cast: Cast) -> None:
    buffer = BytesIO()
    Image.effect_noise((1600, 1200), 90).save(buffer, "WEBP", quality=82)
    digest = sha256(buffer.getvalue()).hexdigest()
    Picture.objects.create(school=cast.school, digest=digest, kind="webp", content=buffer.getvalue())
    address = drawings([{"questions": [{"picture": digest}]}], cast.school.pk).pictures[digest]
    assert address.startswith("data:image/jpeg;base64,")
    assert len(address) < len(buffer.getvalue())


def test_no_picture_asks_nothing(cast: Cast, django_assert_num_queries: Any) -> None:
    with django_assert_num_queries(0):
        assert drawings([{"questions": [{"number": 1}]}, {}], cast.school.pk).pictures == {}
