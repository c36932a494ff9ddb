"""Which banks, attempts, paper quizzes and pictures a person may open: querysets that start from the asker."""

from uuid import UUID

from django.db.models import Q, QuerySet

from quizzes.models import Attempt, Bank, Picture, Review
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused


def banks_for(person: Person) -> QuerySet[Bank]:
    """The banks of the asker's school; a student's are those with an edition."""
    banks = access.in_school(Bank.objects.all(), person)
    return banks.filter(editions__isnull=False).distinct() if person.is_student else banks


def reviews_for(person: Person) -> QuerySet[Review]:
    """The reviews of the school's editions, withdrawn ones too."""
    rows = Review.objects.select_related("edition__bank", "withdrawn_by").defer("edition__content")
    return access.in_school(rows, person)


def bank_named(name: str) -> Bank:
    """A bank for a command: by primary key, code or subject. Refused where there is none, or more than one."""
    by_name = Q(code=name) | Q(subject=name)
    banks = list(Bank.objects.filter(by_name | Q(pk=int(name)) if name.isdecimal() else by_name)[:2])
    if len(banks) != 1:
        if banks:
            sentence = _("There is more than one bank “{name}”. Give its primary key.", name=name)
        else:
            sentence = _("There is no bank “{name}”. Give its primary key.", name=name)
        raise Refused("bank.which", sentence, 422)
    return banks[0]


def attempts_for(person: Person) -> QuerySet[Attempt]:
    """A student's own; a teacher's, those of the students in reach."""
    attempts = access.in_school(Attempt.objects.all(), person)
    if person.is_student:
        return attempts.filter(student=person)
    if person.is_teacher:
        return attempts.filter(student__in=access.students_for(person))
    return attempts.none()


def numbers_hidden(person: Person, bank: int) -> bool:
    """True while a student has an attempt open at the bank: the numbers to know would answer its questions."""
    return person.is_student and attempts_for(person).filter(bank=bank, handed_in_at=None, voided_at=None).exists()


def attempt_for(person: Person, pk: UUID) -> Attempt:
    return access.one_of(attempts_for(person).select_related("edition", "student").defer("edition__content"), pk=pk)


def sheet_for(teacher: Person, pk: UUID) -> Attempt:
    """A quiz on paper, with all that prints or enters it."""
    rows = _on_paper(teacher).select_related("entered_by", "voided_by", "student__school")
    return access.one_of(rows, pk=pk)


def sheets_out(teacher: Person) -> QuerySet[Attempt]:
    """The quizzes on paper that no one has entered yet, the latest first."""
    return _on_paper(teacher).filter(handed_in_at=None, voided_at=None).defer("form").order_by("-started_at")


def _on_paper(teacher: Person) -> QuerySet[Attempt]:
    rows = attempts_for(teacher).exclude(paper_code="").select_related("student", "edition__bank", "printed_by")
    return rows.defer("edition__content", "edition__bank__draft")


def picture_for(person: Person, digest: str, kind: str) -> Picture:
    return access.one_of(access.in_school(Picture.objects.all(), person), digest=digest, kind=kind)
