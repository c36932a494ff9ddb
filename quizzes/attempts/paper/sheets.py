"""A quiz on paper and, on a sheet of its own, its key: from the attempt to PDF."""

from quizzes.banks.editions.texts import text_of
from quizzes.banks.pictures.addresses import data_address
from quizzes.models import Attempt, Picture
from quizzes.questions.form_data import lines_of
from quizzes.questions.on_paper import HOW, key_of, lettered
from quizzes.questions.showing import QuestionView, show
from shopsafe.conventions import written_day
from shopsafe.language.messages import _
from shopsafe.paper.press.render import render_pdf
from shopsafe.paper.rules.sheets import FOLLOW, LETTER, Paper
from shopsafe.school.calendar import local_day

SCALES = {"usual": 1.0, "larger": 1.25, "largest": 1.5}  # mm to a rem


def quiz_pdf(attempt: Attempt, paper: Paper = LETTER) -> bytes:
    """The questions as this student gets them, to answer with a pen; nothing of the key."""
    accommodations = attempt.student.given
    edition = text_of(attempt.edition, accommodations.language)
    asked = [lettered(show(edition, line, number)) for number, line in enumerate(lines_of(attempt.form), 1)]
    pictures = {} if accommodations.described else _pictures(attempt, asked)
    context = {
        "attempt": attempt,
        "subject": edition.bank.subject,
        "questions": [
            (question, _(HOW[question.kind]), pictures.get(question.picture.digest) if question.picture else "")
            for question in asked
        ],
        "paper": paper,
        "scale": SCALES[accommodations.size],
        "roomy": accommodations.roomy,
        "columns": accommodations.size == "usual" and not accommodations.roomy,
        "cells": _title(attempt),
        "follow": _(FOLLOW),
    }
    return render_pdf(
        "quizzes/paper/quiz.html",
        context,
        title=_("Quiz {code}: {bank}", code=attempt.paper_code, bank=edition.bank.subject),
    )


def key_pdf(attempt: Attempt, paper: Paper = LETTER) -> bytes:
    """The right answers of this one form, by its letters. For the teacher alone."""
    edition = text_of(attempt.edition)
    keys = [key_of(edition, line, number) for number, line in enumerate(lines_of(attempt.form), 1)]
    context = {
        "attempt": attempt,
        "subject": edition.bank.subject,
        "keys": keys,
        "paper": paper,
        "cells": [(_("Key for"), attempt.student.name), *_title(attempt)[1:]],
    }
    return render_pdf(
        "quizzes/paper/key.html",
        context,
        title=_("Key {code}: {bank}", code=attempt.paper_code, bank=edition.bank.subject),
    )


def _title(attempt: Attempt) -> list[tuple[str, str]]:
    """The title block of every page: a sheet that comes loose still says whose it is."""
    printed = local_day(attempt.started_at, attempt.student.school.time_zone)
    return [
        (_("Student"), attempt.student.name),
        (_("Code"), attempt.paper_code),
        (_("Edition"), str(attempt.edition.number)),
        (_("Printed"), written_day(printed)),
    ]


def _pictures(attempt: Attempt, asked: list[QuestionView]) -> dict[str, str]:
    """digest → the picture as a data: address, which is all that a print may load beside our own files."""
    digests = {question.picture.digest for question in asked if question.picture}
    rows = Picture.objects.filter(school=attempt.school_id, digest__in=digests) if digests else []
    return {row.digest: data_address(row.kind, bytes(row.content)) for row in rows}
