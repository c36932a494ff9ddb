"""Holds with what lifts them: what a student can do about one, and how far that is."""

from datetime import datetime

from django.db.models import QuerySet

from machines.clearance import facts
from machines.clearance.evidence import way_of
from machines.clearance.records import holds_for
from machines.clearance.rules.lifting import HoldEnding
from machines.models import Hold
from quizzes.banks.editions.texts import text_of
from quizzes.facts import BankText, EditionText
from quizzes.models import Bank, Edition
from quizzes.relearning.queries import passes
from shopsafe.school.models import Person


def liftable_holds(person: Person) -> QuerySet[Hold]:
    """The holds in the asker's reach that the asker may look into: the office, those that it decides about."""
    rows = holds_for(person).select_related("bank").defer("bank__draft")
    return rows.filter(lifts=Hold.Lifts.OFFICE) if person.is_office else rows


def own_holds(student: Person) -> QuerySet[Hold]:
    """A student's own holds, lifted ones too."""
    rows = Hold.objects.filter(student=student).select_related("bank", "placed_by", "school").defer("bank__draft")
    return rows.prefetch_related("machines__kind")


def way_for(hold: Hold, at: datetime) -> HoldEnding:
    """How one hold is lifted, with what its student has done by `at`."""
    quiz_passes = [
        facts.QuizPass(quiz_pass.bank, quiz_pass.at, refresher=quiz_pass.refresher)
        for quiz_pass in passes([hold.student_id], at)
        if quiz_pass.bank == hold.bank_id
    ]
    return way_of(hold, quiz_passes)


def rules_now(bank: Bank, at: datetime) -> BankText | None:
    """The text of the bank's edition that is out at `at`."""
    text = _edition(bank.pk, at)
    return text.bank if text else None


def latest_text(hold: Hold, at: datetime) -> EditionText | None:
    """The same for the bank of a hold, with its pictures."""
    return _edition(hold.bank_id, at) if hold.bank_id else None


def _edition(bank: int, at: datetime) -> EditionText | None:
    edition = Edition.objects.filter(bank=bank, published_at__lte=at).order_by("number").last()
    return text_of(edition) if edition else None


def banks_with_rules(person: Person, at: datetime) -> list[Bank]:
    """The banks of the school with an edition, by subject."""
    rows = Bank.objects.filter(school=person.school_id, editions__published_at__lte=at).distinct()
    return list(rows.defer("draft").order_by("subject"))
