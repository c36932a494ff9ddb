"""The list of sources of the starter banks, and what of a bank rests on each. Pure."""

from collections import defaultdict
from dataclasses import dataclass

from quizzes.facts import BankText

SEPARATOR = "; "  # between the sources of one rule
NO_DATE = "-"


@dataclass(frozen=True, kw_only=True)
class Source:
    """One source as the list has it; a source that a school added itself has a name alone."""

    name: str
    document: str = ""
    year: str = ""
    supports: str = ""
    status: str = ""  # how far it was checked: read, read in a summary, from memory, computed


def read_list(text: str) -> dict[str, Source]:
    """Name → source, from the table of the list. Its first row is the head."""
    rows = [line.strip("| ").split(" | ") for line in text.splitlines() if line.startswith("| ")][1:]
    return {
        name: Source(
            name=name, document=document, year="" if year == NO_DATE else year, supports=supports, status=status
        )
        for name, document, year, supports, status in rows
    }


def cited(bank: BankText) -> dict[str, list[str]]:
    """Source → the rules that name it, and then the numbers, each as it reads."""
    says_by_source: dict[str, list[str]] = defaultdict(list)
    named = [(rule.source, rule.says) for rule in bank.live_rules]
    named += [(value.source, f"{value.says}: {value.reads}") for value in bank.values]
    for sources, says in named:
        for source in filter(None, map(str.strip, sources.split(SEPARATOR))):
            says_by_source[source].append(says)
    return says_by_source
