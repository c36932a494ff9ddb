"""The signed note that a card's own page carries: without it no request can say that the card was opened."""

from datetime import datetime

from django.core import signing

from shopsafe.language.messages import marked

SALT = "quizzes.opened-card"
NOT_OPENED = marked("First read the card. Then cover it.")


def note_opened(student_id: int, about: object, rule: str, at: datetime) -> str:
    """The note of one card, opened by one student. `about` is what the card is read for: an attempt, or a hold."""
    return signing.dumps([student_id, str(about), rule, at.isoformat()], salt=SALT)


def opened_at(note: str, student_id: int, about: object, rule: str) -> datetime | None:
    """When this student opened this card; None for a note of another card, or one made by hand."""
    try:
        *card, moment = signing.loads(note, salt=SALT)
    except signing.BadSignature:
        return None
    return datetime.fromisoformat(moment) if card == [student_id, str(about), rule] else None
