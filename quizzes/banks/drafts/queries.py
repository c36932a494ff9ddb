"""What is asked of drafts: rules with their questions, who changed what, the draft as a file, the bank of a file."""

from collections import defaultdict
from dataclasses import dataclass

from django.db.models import Exists, F, OuterRef, QuerySet

from quizzes.banks.draft_rows import draft_of
from quizzes.banks.editions.texts import text_of
from quizzes.banks.rules.changes import Difference, differences
from quizzes.facts import BankPicture as PictureFacts
from quizzes.facts import EditionText, Question, Rule
from quizzes.models import Bank, DraftChange, Edition
from shopsafe.school import access
from shopsafe.school.models import Person


def unpublished_in(bank: Bank) -> tuple[Difference, ...]:
    """What is different in the draft since the last edition; nothing where none is out."""
    last = bank.editions.order_by("-number").first()
    return differences(text_of(last).bank, draft_of(bank).bank) if last else ()


def ahead_of_edition(teacher: Person) -> set[int]:
    """The banks of the school whose draft has changes that no student gets yet. One query; the long texts are read of
    those alone whose draft was saved since their last edition."""
    later = Edition.objects.filter(bank=OuterRef("bank"), number__gt=OuterRef("number"))
    last = access.in_school(Edition.objects.exclude(Exists(later)), teacher).select_related("bank")
    saved_since = last.filter(bank__draft_changed_at__gte=F("published_at"))
    return {
        edition.bank_id for edition in saved_since if differences(text_of(edition).bank, draft_of(edition.bank).bank)
    }


def draft_history(bank: Bank) -> QuerySet[DraftChange]:
    """The last ten changes of the draft, the latest first."""
    return bank.draft_changes.select_related("by").order_by("-revision")[:10]


def changes_since(bank: Bank, revision: int) -> QuerySet[DraftChange]:
    """Who changed what in the draft after this revision, oldest first."""
    return bank.draft_changes.filter(revision__gt=revision).select_related("by").order_by("revision")


@dataclass(frozen=True, kw_only=True)
class RuleSheet:
    """One rule of a draft with its questions, as a teacher reads them."""

    rule: Rule
    picture: PictureFacts | None
    questions: tuple[Question, ...]

    @property
    def codes(self) -> set[str]:
        return {question.code for question in self.questions}


def rule_sheets(draft: EditionText) -> list[RuleSheet]:
    of_rule: dict[str, list[Question]] = defaultdict(list)
    for question in draft.bank.questions:
        of_rule[question.rule].append(question)
    return [
        RuleSheet(rule=rule, picture=draft.pictures.get(rule.picture), questions=tuple(of_rule[rule.code]))
        for rule in draft.bank.rules
    ]
