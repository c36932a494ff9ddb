"""Puts the ready-made banks of the shelf into a school, each with its first edition: a teacher reads and accepts it."""

from datetime import datetime
from pathlib import Path

from quizzes.banks.draft_rows import draft_text, picture_data
from quizzes.banks.editions.texts import frozen
from quizzes.banks.files.rules.toml_file import read_bank
from quizzes.banks.pictures.files import drawing, picture_names
from quizzes.facts import BankPicture as PictureFacts
from quizzes.facts import BankText
from quizzes.models import Bank, Edition, Picture
from shopsafe.act import act
from shopsafe.logbook.append import append
from shopsafe.school import access
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock_school
from shopsafe.school.models import Person, School

STARTER_SHOPS = "starter-shops.toml"  # beside the banks, and none


@act
def load_shelf(*, school: School, shelf: Path, at: datetime | None = None, by: Person | None = None) -> list[Bank]:
    """Adds each bank on the shelf whose code the school does not have yet; returns those added.

    Its first edition is out at once, for practice only: no one has accepted its rules.

    `by` is None where a command sets a school up. Raises BankFileError or NoPicture for a shelf that is broken.
    """
    if by is not None:
        access.allow(by, "edit a bank")
    texts = shelf_texts(shelf)
    lock_school(school.pk)
    at = act_moment(school.pk, at)
    here = set(Bank.objects.filter(school=school).values_list("code", flat=True))
    return [_add(school, shelf, text, at, by) for text in texts if text.code not in here]


def shelf_texts(shelf: Path) -> list[BankText]:
    """Every starter bank, by the name of its file. Raises BankFileError."""
    files = [path for path in sorted(shelf.glob("*.toml")) if path.name != STARTER_SHOPS]
    return [read_bank(path.read_text(encoding="utf-8")) for path in files]


def _add(school: School, shelf: Path, text: BankText, at: datetime, by: Person | None) -> Bank:
    pictures = {
        name: keep_picture(school, name, (shelf / "pictures" / name).read_bytes()) for name in picture_names(text)
    }
    bank = Bank.objects.create(
        school=school,
        code=text.code,
        subject=text.subject,
        draft=draft_text(text),
        draft_pictures=picture_data(pictures),
        draft_changed_at=at,
        draft_changed_by=by,
    )
    payload = {"bank": {"id": bank.pk, "name": bank.subject}, "from": "shelf", "rules": len(text.rules)}
    append(kind="bank.added", school=school.pk, at=at, payload=payload | ({"by": by.as_record()} if by else {}))
    _first_edition(bank, text, pictures, at, by)
    return bank


def _first_edition(
    bank: Bank, text: BankText, pictures: dict[str, PictureFacts], at: datetime, by: Person | None
) -> None:
    content, digest = frozen(text, pictures)
    edition = Edition.objects.create(
        school_id=bank.school_id,
        bank=bank,
        number=1,
        content=content,
        digest=digest,
        published_at=at,
        published_by=by,
    )
    payload = {
        "bank": {"id": bank.pk, "name": bank.subject},
        "edition": {"id": edition.pk, "name": "1"},
        "edition_digest": digest,
        "from": "shelf",
    }
    who = {"by": by.as_record()} if by else {}
    append(kind="edition.published", school=bank.school_id, at=at, payload=payload | who)


def keep_picture(school: School, name: str, content: bytes) -> PictureFacts:
    facts = drawing(name, content)
    Picture.objects.get_or_create(school=school, digest=facts.digest, defaults={"kind": facts.kind, "content": content})
    return facts
