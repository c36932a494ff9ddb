"""Corrections of starter banks that wait for a teacher's decision, and the three texts that one is looked at with."""

from dataclasses import dataclass

from django.db.models import QuerySet

from quizzes.banks.corrections.rules import RuleCorrection, corrections_of
from quizzes.banks.editions.texts import text_of, thawed
from quizzes.facts import EditionText
from quizzes.models import Bank, Edition, StarterCorrection
from shopsafe.school import access
from shopsafe.school.models import Person


def corrections_for(person: Person) -> QuerySet[StarterCorrection]:
    return access.in_school(StarterCorrection.objects.select_related("bank"), person)


def waiting_corrections(person: Person) -> list[StarterCorrection]:
    """Those that no one of the school has decided yet, by subject; with their summary, without their content."""
    rows = corrections_for(person).filter(decided_at=None).order_by("bank__subject")
    return list(rows.defer("content", "bank__draft"))


def starter_text(bank: Bank) -> EditionText:
    """The starter bank as the school has it: as it last took a correction of it, or as the bank came."""
    last = bank.corrections.exclude(edition=None).order_by("-decided_at", "-pk").first()
    return thawed(last.content) if last else text_of(bank.editions.order_by("number")[0])


@dataclass(frozen=True, kw_only=True)
class CorrectionTexts:
    """The starter bank as the school got it, the corrected one, and the school's latest edition."""

    base: EditionText
    new: EditionText
    edition: Edition

    @property
    def shop(self) -> EditionText:
        return text_of(self.edition)

    @property
    def corrections(self) -> tuple[RuleCorrection, ...]:
        return corrections_of(self.base, self.new, self.shop)


def texts_of(correction: StarterCorrection) -> CorrectionTexts:
    edition = correction.bank.editions.select_related("bank").order_by("-number")[0]
    return CorrectionTexts(base=starter_text(correction.bank), new=thawed(correction.content), edition=edition)
