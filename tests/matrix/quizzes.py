"""Who gets in where: banks, quizzes and attempts."""

from dataclasses import replace
from functools import cache
from typing import Any

from quizzes.attempts.acts import start_attempt, start_on_paper
from quizzes.banks.draft_rows import draft_text
from quizzes.banks.editions.texts import frozen
from quizzes.banks.files.acts import send_bank_file
from quizzes.banks.files.rules.toml_file import write_bank
from quizzes.models import Bank, Edition, Picture, Review, StarterCorrection
from quizzes.relearning.acts import open_card
from quizzes.relearning.opened_card import note_opened
from tests.cast import Cast
from tests.factories.banks import AT, bank_text, learn, published, read_cards, take
from tests.matrix import (
    COLLEAGUE,
    OTHER_TEACHER,
    SIGNED_IN,
    STUDENT,
    STUDENTS,
    TEACHER,
    TEACHERS,
    Door,
    Parts,
    get,
    post,
)
from tests.matrix import student as student_of

OWN_SCHOOL = tuple(role for role in SIGNED_IN if not role.startswith("stranger"))
OWN_STUDENTS = (STUDENT, "classmate")
SCHOOL_TEACHERS = (TEACHER, COLLEAGUE, OTHER_TEACHER)
IN_REACH = (TEACHER, COLLEAGUE)


def bank(cast: Cast) -> dict[str, Any]:
    return {"bank": published(cast.teacher).pk}


def own_value(cast: Cast) -> dict[str, Any]:
    return bank(cast) | {"value": "guard-gap"}


def reviewed(cast: Cast) -> dict[str, Any]:
    edition = published(cast.teacher).editions.get()
    review = Review.objects.create(
        school=cast.school,
        edition=edition,
        name="Ro Marsh",
        role="Safety officer",
        reviewed_on=AT,
        by=cast.teacher,
        at=AT,
    )
    return {"review": review.pk}


def offered(cast: Cast) -> dict[str, Any]:
    """A correction of a starter bank that waits for the school's decision."""
    text = bank_text(code="starter")
    starter_bank = Bank.objects.create(
        school=cast.school, code="starter", subject="Starter", draft=draft_text(text), draft_changed_at=AT
    )
    content, digest = frozen(text, {})
    Edition.objects.create(
        school=cast.school, bank=starter_bank, number=1, content=content, digest=digest, published_at=AT
    )
    corrected = replace(text, about="Corrected.")
    content, digest = frozen(corrected, {})
    offer = StarterCorrection.objects.create(
        school=cast.school, bank=starter_bank, digest=digest, content=content, offered_at=AT, summary=[]
    )
    return {"correction": offer.pk}


def going(cast: Cast) -> dict[str, Any]:
    """The student's open attempt."""
    return {"attempt": start_attempt(student=cast.student, bank=published(cast.teacher).pk, at=AT).pk}


def missed(cast: Cast) -> dict[str, Any]:
    """The student's attempt that was not perfect."""
    return {"attempt": take(cast.student, published(cast.teacher), wrong=["r1"]).pk}


def card_open(cast: Cast) -> dict[str, Any]:
    """The same, with its one card opened, to be covered."""
    of = missed(cast)
    opened = note_opened(cast.student.pk, of["attempt"], "r1", AT)
    open_card(student=cast.student, attempt=of["attempt"], rule="r1", opened=opened, at=AT.replace(hour=16))
    return of


def cards_read(cast: Cast) -> dict[str, Any]:
    """The same, with its cards read: the check questions come next."""
    missed = take(cast.student, published(cast.teacher), wrong=["r1"])
    read_cards(missed, AT.replace(hour=16))
    return {"attempt": missed.pk}


def stuck(cast: Cast) -> dict[str, Any]:
    """The student's second miss on a day."""
    taken = published(cast.teacher)
    learn(take(cast.student, taken, wrong=["r1"]), AT)
    return {"attempt": take(cast.student, taken, AT.replace(hour=16), wrong=["r1"]).pk}


def upload(cast: Cast) -> dict[str, Any]:
    """A file that the teacher sent in: it is the teacher's own until it is taken over."""
    content = write_bank(bank_text()).encode()
    return {"upload": send_bank_file(by=cast.teacher, name="bank.toml", content=content, at=AT).pk}


def rule(cast: Cast) -> dict[str, Any]:
    return bank(cast) | {"rule": "r1"}


def question(cast: Cast) -> dict[str, Any]:
    return bank(cast) | {"question": "r1-q1"}


def kind(cast: Cast) -> dict[str, Any]:
    return rule(cast) | {"kind": "one"}


def value(cast: Cast) -> dict[str, Any]:
    return bank(cast) | {"value": "guard-gap"}


@cache
def with_number(of: Parts) -> Parts:
    return lambda cast: of(cast) | {"number": 1}


def picture(cast: Cast) -> dict[str, Any]:
    Picture.objects.create(school=cast.school, digest="a" * 64, kind="svg", content=b"<svg/>")
    return {"digest": "a" * 64, "kind": "svg"}


def on_paper(cast: Cast) -> dict[str, Any]:
    """The student's quiz on paper, not entered yet."""
    bank = published(cast.teacher)
    return {"attempt": start_on_paper(student=cast.student, bank=bank.pk, by=cast.teacher, at=AT).pk}


def section(cast: Cast) -> dict[str, Any]:
    return {"section": cast.section.pk}


def tried(cast: Cast) -> dict[str, Any]:
    """The class, and in it a first try: its warm-up has something on it."""
    taken = published(cast.teacher)
    take(cast.student, taken, wrong=["r1"])
    return section(cast)


def one_rule(cast: Cast) -> dict[str, Any]:
    return {"rule": "r1"}


ROUTES: dict[str, Door | list[Door]] = {
    "quizzes": get(*STUDENTS),
    "quiz": get(*OWN_STUDENTS, of=bank),
    "attempt-start": post(*OWN_STUDENTS, of=bank),
    "attempt-check": get(STUDENT, of=going),
    "attempt-question": [
        get(STUDENT, of=with_number(going)),
        post(STUDENT, of=with_number(going)),
    ],
    "answer-save": post(STUDENT, of=with_number(going), gets=(200,)),
    "attempt-hand-in": post(STUDENT, of=going),
    "attempt-result": get(STUDENT, of=missed),
    "relearn-card": [get(STUDENT, of=with_number(missed)), post(STUDENT, of=with_number(missed))],
    "relearn-recall": [get(STUDENT, of=with_number(card_open)), post(STUDENT, of=with_number(card_open))],
    "relearn-check": [get(STUDENT, of=with_number(cards_read)), post(STUDENT, of=with_number(cards_read))],
    "paper-quizzes": [get(*TEACHERS), post(*TEACHERS)],
    "paper-quiz": get(*IN_REACH, of=on_paper),
    "paper-quiz-sheet": get(*IN_REACH, of=on_paper),
    "paper-quiz-key": get(*IN_REACH, of=on_paper),
    "paper-quiz-enter": [get(*IN_REACH, of=on_paper), post(*IN_REACH, of=on_paper)],
    "paper-quiz-hand-in": post(*IN_REACH, of=on_paper),
    "student-release": post(*IN_REACH, of=stuck),
    "attempt-void": [get(*IN_REACH, of=missed), post(*IN_REACH, of=missed)],
    "rules": get(*SIGNED_IN),
    "rules-of-bank": get(*OWN_SCHOOL, of=bank),
    "accommodations": [get(*IN_REACH, of=student_of), post(*IN_REACH, of=student_of)],
    "students-waiting": get(*TEACHERS),
    "banks": get(*TEACHERS),
    "bank": get(*SCHOOL_TEACHERS, of=bank),
    "bank-publish": [get(*SCHOOL_TEACHERS, of=bank), post(*SCHOOL_TEACHERS, of=bank)],
    "bank-corrections": [get(*SCHOOL_TEACHERS, of=offered), post(*SCHOOL_TEACHERS, of=offered)],
    "bank-corrections-decline": [post(*SCHOOL_TEACHERS, of=offered)],
    "value-own": [get(*SCHOOL_TEACHERS, of=own_value), post(*SCHOOL_TEACHERS, of=own_value)],
    "banks-accept": [get(*TEACHERS, gets=(302,)), post(*TEACHERS)],
    "bank-accept": [get(*SCHOOL_TEACHERS, of=bank), post(*SCHOOL_TEACHERS, of=bank)],
    "bank-accept-take-back": post(*SCHOOL_TEACHERS, of=bank),
    "bank-review": post(*SCHOOL_TEACHERS, of=bank),
    "bank-reviewers-print": get(*SCHOOL_TEACHERS, of=bank),
    "bank-review-withdraw": [get(*SCHOOL_TEACHERS, of=reviewed), post(*SCHOOL_TEACHERS, of=reviewed)],
    "bank-blueprint": [get(*SCHOOL_TEACHERS, of=bank), post(*SCHOOL_TEACHERS, of=bank)],
    "bank-import": [get(*TEACHERS), post(*TEACHERS)],
    "bank-import-look": [get(TEACHER, of=upload), post(TEACHER, of=upload)],
    "bank-file": get(*SCHOOL_TEACHERS, of=bank),
    "bank-add": [get(*TEACHERS), post(*TEACHERS)],
    "bank-sources": get(*TEACHERS),
    "bank-sources-of": get(*SCHOOL_TEACHERS, of=bank),
    "bank-check": get(*SCHOOL_TEACHERS, of=bank),
    "bank-subject": [get(*SCHOOL_TEACHERS, of=bank), post(*SCHOOL_TEACHERS, of=bank)],
    "bank-arrange": post(*SCHOOL_TEACHERS, of=bank),
    "rule-add": [get(*SCHOOL_TEACHERS, of=bank), post(*SCHOOL_TEACHERS, of=bank)],
    "rule-edit": [get(*SCHOOL_TEACHERS, of=rule), post(*SCHOOL_TEACHERS, of=rule)],
    "question-add": [get(*SCHOOL_TEACHERS, of=kind), post(*SCHOOL_TEACHERS, of=kind)],
    "question-edit": [get(*SCHOOL_TEACHERS, of=question), post(*SCHOOL_TEACHERS, of=question)],
    "question-preview": [get(*SCHOOL_TEACHERS, of=question), post(*SCHOOL_TEACHERS, of=question)],
    "bank-figures": get(*SCHOOL_TEACHERS, of=bank),
    "figures-file": get(*SCHOOL_TEACHERS, of=bank),
    "figures-add": [get(*SCHOOL_TEACHERS, of=bank), post(*SCHOOL_TEACHERS, of=bank)],
    "bank-difficulty": get(*SCHOOL_TEACHERS, of=bank),
    "bank-reteach": get(*SCHOOL_TEACHERS, of=bank),
    "question-figures": get(*SCHOOL_TEACHERS, of=question),
    "key-correct": [get(*SCHOOL_TEACHERS, of=question), post(*SCHOOL_TEACHERS, of=question)],
    "reteach": get(*IN_REACH, of=section),
    "warm-up": get(*IN_REACH, of=tried, sends=one_rule),
    "warm-up-sheet": get(*IN_REACH, of=tried, sends=one_rule),
    "value-add": [get(*SCHOOL_TEACHERS, of=bank), post(*SCHOOL_TEACHERS, of=bank)],
    "value-edit": [get(*SCHOOL_TEACHERS, of=value), post(*SCHOOL_TEACHERS, of=value)],
    "bank-picture": get(*OWN_SCHOOL, of=picture),
}
