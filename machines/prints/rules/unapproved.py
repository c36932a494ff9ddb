"""What a sheet says of a quiz whose latest rules no teacher has accepted. Pure."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from quizzes.banks.rules.counting import UnapprovedLatest
from shopsafe.language.lists import alternatives
from shopsafe.language.messages import _


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
        return _(
            "the quiz “{subject}” has rules no teacher has accepted yet (edition {edition})",
            subject=self.subject,
            edition=latest,
        )

    @property
    def earlier(self) -> str:
        """ "edition 2, which still counts"."""
        editions = alternatives(self.state.counting)
        if len(self.state.counting) == 1:
            return _("edition {edition}, which still counts", edition=editions)
        return _("edition {editions}, which still count", editions=editions)


def card_note(doubts: Iterable[UnapprovedEdition], *, names: bool) -> str:
    """The line above the names of a wall card, all of whose doubts are open: otherwise it has no names and says why."""
    return " ".join(_card_note(doubt, names) for doubt in doubts)


def _card_note(doubt: UnapprovedEdition, names: bool) -> str:
    rules = doubt.rules[:1].upper() + doubt.rules[1:]
    if names:
        return _("{rules}. The names here passed {edition}.", rules=rules, edition=doubt.earlier)
    return _("{rules}. No one may be added who has not passed {edition}.", rules=rules, edition=doubt.earlier)


def footnotes(doubts: Iterable[tuple[str, Sequence[UnapprovedEdition]]], note: str) -> tuple[str, ...]:
    """A footnote a quiz, for the machines ("3", or "Band saw 2") that ask for it and have names on the sheet.

    `note` is a marked sentence with places for the machines, the rules and the edition.
    """
    where: dict[UnapprovedEdition, list[str]] = {}
    for machine, these in doubts:
        for doubt in filter(lambda edition: edition.open, these):
            where.setdefault(doubt, []).append(machine)
    return tuple(
        _(note, machines=", ".join(on), rules=doubt.rules, edition=doubt.earlier) for doubt, on in where.items()
    )
