"""The sources of a school's banks, with what the list of the starter banks says of each."""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import datetime
from functools import cache
from pathlib import Path

from django.conf import settings

from quizzes.banks.editions.queries import latest_editions
from quizzes.banks.editions.texts import text_of
from quizzes.banks.sources.rules import Source, cited, read_list
from quizzes.facts import BankText
from quizzes.models import Bank
from shopsafe.school.models import Person

LIST_OF_SOURCES = "SOURCES.md"


@dataclass(frozen=True, kw_only=True)
class SourceUse:
    """One source, and what rests on it: bank → its rules and numbers."""

    source: Source
    banks: dict[Bank, list[str]] = field(default_factory=dict)


def sources_in_use(person: Person, at: datetime, bank: int | None = None) -> list[SourceUse]:
    """Every source that an edition which is out names, by name; of one bank, or of all the school's. One query."""
    editions = latest_editions(person, at)
    editions = editions.filter(bank=bank) if bank else editions
    uses: dict[str, dict[Bank, list[str]]] = defaultdict(dict)
    for edition in editions:
        for name, says in cited(text_of(edition).bank).items():
            uses[name][edition.bank] = says
    listed = _listed(Path(settings.SHELF) / LIST_OF_SOURCES)
    return [
        SourceUse(source=listed.get(name, Source(name=name)), banks=uses[name])
        for name in sorted(uses, key=str.casefold)
    ]


def sources_of(bank: BankText) -> list[Source]:
    """The sources that a bank names, by name, with what the list says of each."""
    listed = _listed(Path(settings.SHELF) / LIST_OF_SOURCES)
    return [listed.get(name, Source(name=name)) for name in sorted(cited(bank), key=str.casefold)]


@cache
def _listed(path: Path) -> dict[str, Source]:
    return read_list(path.read_text(encoding="utf-8"))
