"""Uploaded bank files, the bank that a file belongs to, and a bank as a file."""

from datetime import datetime

from django.db.models import QuerySet

from quizzes.access import banks_for
from quizzes.banks.draft_rows import draft_of
from quizzes.banks.files.rules.preview import code_of
from quizzes.banks.files.rules.toml_file import write_bank
from quizzes.banks.files.rules.zip_file import pack
from quizzes.banks.pictures.files import picture_names
from quizzes.models import Bank, BankUpload, Picture
from shopsafe.school import access
from shopsafe.school.locks import locked
from shopsafe.school.models import Person


def uploads_for(teacher: Person) -> QuerySet[BankUpload]:
    """The files that this teacher sent: no one takes over another's."""
    return access.in_school(BankUpload.objects.filter(by=teacher), teacher)


def idle_uploads(teacher: Person, since: datetime) -> QuerySet[BankUpload]:
    """The files at the teacher's school that no one has taken over since then."""
    return access.in_school(BankUpload.objects.filter(bank=None, at__lt=since), teacher)


def bank_of_file(teacher: Person, content: bytes, *, lock: bool = False) -> Bank | None:
    """The bank of the teacher's school that has the code of the file."""
    banks = banks_for(teacher)
    return (locked(banks) if lock else banks).filter(code=code_of(content) or None).first()


def file_of(bank: Bank) -> tuple[str, bytes]:
    """(name, bytes) of the draft as a bank file: TOML, in a zip where it shows pictures."""
    draft = draft_of(bank)
    text = write_bank(draft.bank)
    shown = {name: draft.pictures[name].digest for name in picture_names(draft.bank) if name in draft.pictures}
    if not shown:
        return f"{bank.code}.toml", text.encode()
    rows = Picture.objects.filter(school=bank.school_id, digest__in=shown.values())
    contents = {row.digest: bytes(row.content) for row in rows}
    return f"{bank.code}.zip", pack(bank.code, text, {name: contents[digest] for name, digest in shown.items()})
