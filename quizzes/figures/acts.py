"""Add the figures of another school to a bank."""

from datetime import datetime
from hashlib import sha256

from django.db import IntegrityError

from quizzes.banks.editions.next_edition import open_bank
from quizzes.figures.counting import add_counts
from quizzes.figures.rules.counts_file import read_counts
from quizzes.figures.rules.response_files import BadFile
from quizzes.models import AddedCounts
from shopsafe.act import act
from shopsafe.language.messages import _, marked
from shopsafe.logbook.append import append
from shopsafe.school import access
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused

ONCE = marked("The figures of this file are in already.")


def add_figures(*, by: Person, bank: int, name: str, content: bytes, at: datetime | None = None) -> AddedCounts:
    """Add the counts in a file to those of a bank. A file is added once.

    Refused: figures.file (422) names the row; figures.twice (409).
    """
    try:
        return _add(by=by, bank=bank, name=name, content=content, at=at)
    except IntegrityError as error:
        raise Refused("figures.twice", _(ONCE)) from error


@act
def _add(*, by: Person, bank: int, name: str, content: bytes, at: datetime | None) -> AddedCounts:
    access.allow(by, "edit a bank")
    stored_bank, at = open_bank(by, bank, at)
    try:
        counts = read_counts(name, content, stored_bank.code)
    except BadFile as error:
        raise Refused("figures.file", str(error), 422) from error
    digest, students = sha256(content).hexdigest(), sum(counts.scores.values())
    if AddedCounts.objects.filter(bank=stored_bank, digest=digest).exists():
        raise Refused("figures.twice", _(ONCE))
    added = AddedCounts.objects.create(bank=stored_bank, digest=digest, students=students, by=by, at=at)
    payload = {
        "by": by.as_record(),
        "bank": {"id": stored_bank.pk, "name": stored_bank.subject},
        "file": digest,
        "students": students,
    }
    append(kind="figures.added", school=stored_bank.school_id, at=at, payload=payload)
    add_counts(stored_bank.pk, counts)
    return added
