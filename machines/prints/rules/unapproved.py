"""What a sheet says of a quiz whose latest rules no teacher has accepted. Pure."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from quizzes.banks.rules.counting import UnapprovedLatest


@dataclass(frozen=True)
class UnapprovedEdition:
    """A bank that is practice only since its latest edition came out."""

    subject: str
    state: UnapprovedLatest

    @property
    def open(self) -> bool:
        """A pass on an earlier edition still counts, so that there may be names."""
        return bool(self.state.counting)

    @property
    def rules(self) -> str:
        latest = self.state.edition
        return f"the quiz “{self.subject}” has rules no teacher has accepted yet (edition {latest})"

    @property
    def earlier(self) -> str:
        """ "edition 2, which still counts"."""
        *others, last = (str(number) for number in self.state.counting)
        if not others:
            return f"edition {last}, which still counts"
        return f"edition {', '.join(others)} or {last}, which still count"


def card_note(doubts: Iterable[UnapprovedEdition], *, names: bool) -> str:
    """The line above the names of a wall card, all of whose doubts are open: otherwise it has no names and says why."""
    whose = "The names here passed" if names else "Nobody may be added who has not passed"
    return " ".join(f"{doubt.rules[0].upper()}{doubt.rules[1:]}. {whose} {doubt.earlier}." for doubt in doubts)


def footnotes(doubts: Iterable[tuple[str, Sequence[UnapprovedEdition]]], whose: str) -> tuple[str, ...]:
    """A footnote a quiz, for the machines ("3", or "Band saw 2") that ask for it and have names on the sheet."""
    where: dict[UnapprovedEdition, list[str]] = {}
    for machine, these in doubts:
        for doubt in filter(lambda edition: edition.open, these):
            where.setdefault(doubt, []).append(machine)
    return tuple(f"{', '.join(on)}: {doubt.rules}. {whose} {doubt.earlier}." for doubt, on in where.items())
