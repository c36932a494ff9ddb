"""The drawing of a place question as the logbook kept it: the picture by its digest, its letters from the edition.

The record holds the digest of the picture, the texts of the places with their letters, and which was chosen; where the
letters stand is in the frozen edition that the record names by its digest.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from hashlib import sha256
from io import BytesIO
from typing import Any

from PIL import Image

from quizzes.banks.editions.texts import text_of
from quizzes.banks.pictures.addresses import data_address
from quizzes.facts import BankPicture as PictureFacts
from quizzes.facts import EditionText, Spot
from quizzes.models import Edition, Picture
from quizzes.questions.showing import Callout, center_of
from quizzes.questions.translating import languages
from shopsafe.school.reading.accommodations import DESCRIBED

SMALL = 640  # pixels of a photo's longer side: it is printed 80 mm wide


@dataclass(frozen=True)
class RedrawnPicture:
    """`picture` is a data: address, or empty where no picture of that digest is here any more."""

    picture: str
    digest: str
    edition: int
    facts: PictureFacts | None = None
    alt: str = ""
    callouts: tuple[tuple[Callout, bool], ...] = ()  # and whether it was pointed at
    in_words: bool = False  # the student had it described in words instead


@dataclass(frozen=True)
class RedrawnPictures:
    """The editions and pictures that some payloads of the logbook name, each loaded once."""

    editions: Mapping[str, Edition] = field(default_factory=dict)
    pictures: Mapping[str, str] = field(default_factory=dict)

    def of(self, payload: Mapping[str, Any], question: Mapping[str, Any]) -> RedrawnPicture | None:
        """The drawing of one recorded question; None where it had none, or the edition is not known."""
        edition = self.editions.get(payload.get("edition_digest", ""))
        digest = question.get("picture")
        if edition is None or not digest:
            return None
        in_words = DESCRIBED in payload.get("accommodations", ())
        plain = RedrawnPicture(self.pictures.get(digest, ""), digest, edition.number, in_words=in_words)
        for language in ("", *languages(text_of(edition).bank)):
            text = text_of(edition, language)
            if letters := _letters(text, question):
                asked, callouts = letters
                facts = text.pictures[asked.picture]
                return replace(plain, facts=facts, alt=asked.picture_alt, callouts=callouts)
        return plain


def _letters(text: EditionText, question: Mapping[str, Any]) -> tuple[Spot, tuple[tuple[Callout, bool], ...]] | None:
    """The question with its letters as they were shown; None where the edition in this language says something else."""
    asked = text.bank.question_by_code.get(question["code"])
    if not isinstance(asked, Spot):
        return None
    facts = text.pictures.get(asked.picture)
    places = {place.says: place for place in asked.places}
    shown = [line.split(": ", 1) for line in question.get("shown", [])]
    if (
        facts is None
        or facts.digest != question["picture"]
        or any(len(option) < 2 or option[1] not in places for option in shown)
    ):
        return None
    chosen = set(question["answered"])
    return asked, tuple(
        (Callout(letter, *center_of(places[says])), f"{letter}: {says}" in chosen) for letter, says in shown
    )


def drawings(payloads: Iterable[Mapping[str, Any]], school: int) -> RedrawnPictures:
    """What these payloads need to be drawn. Two queries, none where no question has a picture."""
    recorded_pictures = [
        (payload.get("edition_digest", ""), question["picture"])
        for payload in payloads
        for question in payload.get("questions", [])
        if question.get("picture")
    ]
    if not recorded_pictures:
        return RedrawnPictures()
    editions = Edition.objects.filter(school=school, digest__in={edition for edition, _ in recorded_pictures})
    rows = Picture.objects.filter(school=school, digest__in={digest for _, digest in recorded_pictures})
    return RedrawnPictures(
        {known_edition.digest: known_edition for known_edition in editions},
        {row.digest: _address(row.kind, bytes(row.content)) for row in rows if _is(row)},
    )


def _is(row: Picture) -> bool:
    return sha256(row.content).hexdigest() == row.digest


def _address(kind: str, content: bytes) -> str:
    """A drawing as it is; a photo small, since a file may hold it many times."""
    if kind == "svg":
        return data_address(kind, content)
    with Image.open(BytesIO(content)) as photo:
        small = photo.convert("RGB")
    small.thumbnail((SMALL, SMALL))
    buffer = BytesIO()
    small.save(buffer, "JPEG", quality=80)
    return data_address("jpg", buffer.getvalue())
