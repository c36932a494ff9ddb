"""Speed of item analysis beside its floor, and of the figures of a bank after a year of one school.

    python -m tests.bench.figures [--rounds 15]

Prints one JSON object. A million answers in memory, complete and with gaps: the floor is plain numpy sums of the same
matrix, right answers by question and by person; it knows no correlation, interval, group or reliability. One bank after
a year of 800 students, from kept counts in SQLite: the floor is one plain SELECT of the same counts; `ms` is the whole
of what a page asks. Floor and real thing take turns (A B B A).
"""

import argparse
import json
import os
import sys
import tempfile
from datetime import date
from pathlib import Path
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the settings say: two threads fight over shared cores

import numpy as np

from quizzes.figures.rules.analysis.facts import Responses
from quizzes.figures.rules.analysis.items import analyse
from tests.bench.logbook import ratio, times

PERSONS, QUESTIONS = 20_000, 50
FORMS_OF = 10  # questions each person meets in the matrix with gaps
STUDENTS, TRIES = 800, 2


def complete() -> Responses:
    dice = np.random.default_rng(1)
    cells = (dice.random((PERSONS, QUESTIONS)) < 0.8).astype(np.int8)
    return Responses(names=tuple(map(str, range(QUESTIONS))), cells=cells)


def with_gaps() -> Responses:
    """A million answers: 100,000 persons, each asked 10 of 40 questions."""
    dice, persons, questions = np.random.default_rng(2), PERSONS * 5, 40
    met = dice.permuted(np.tile(np.arange(questions) < FORMS_OF, (persons, 1)), axis=1)
    cells = np.where(met, dice.random((persons, questions)) < 0.8, -1).astype(np.int8)
    return Responses(names=tuple(map(str, range(questions))), cells=cells)


def plain_sums(responses: Responses) -> None:
    responses.cells.sum(axis=0)
    responses.cells.sum(axis=1)


def plain_sums_of_met(responses: Responses) -> None:
    for chosen in (responses.cells >= 0, responses.cells == 1):
        chosen.sum(axis=0)
        chosen.sum(axis=1)


def in_memory(rounds: int) -> dict[str, Any]:
    figures = {}
    for name, responses, floor in (
        ("1,000,000 answers, complete", complete(), plain_sums),
        ("1,000,000 answers, each person 10 of 40", with_gaps(), plain_sums_of_met),
    ):
        assert int((responses.cells >= 0).sum()) == 1_000_000
        measured = ratio(
            times(3, lambda floor=floor, responses=responses: floor(responses)),  # type: ignore[misc]
            times(3, lambda responses=responses: analyse(responses)),  # type: ignore[misc]
            rounds,
        )
        figures[name] = measured | {"ms": round(measured["real_s"] / 3 * 1000, 2)}
    return figures


def a_year(rounds: int) -> dict[str, Any]:
    """One bank of the shelf after a year: 800 students, two attempts each."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from quizzes.figures.queries import figures_of
    from quizzes.models import AnswerCount

    bank, questions = counted_bank()

    def select() -> None:
        with connection.cursor() as cursor:
            cursor.execute("SELECT * FROM quizzes_answercount WHERE bank_id = %s", [bank.pk])
            cursor.fetchall()

    figures_of(bank)
    with CaptureQueriesContext(connection) as queries:
        figures_of(bank)
    measured = ratio(select, lambda: figures_of(bank) and None, rounds)
    counts = {"queries": len(queries), "questions": questions, "rows": AnswerCount.objects.filter(bank=bank).count()}
    return {"a bank after a year of 800 students": measured | {"ms": round(measured["real_s"] * 1000, 1)} | counts}


def counted_bank() -> tuple[Any, int]:
    """A published bank with the counts of a year, and how many questions it has."""
    from django.db import transaction

    from machines.demo.earlier_years import earlier_years
    from quizzes.figures.counting import add_counts
    from quizzes.models import Bank
    from shopsafe.school.models import Person, School
    from tests.factories.banks import published
    from tests.shelf.banks import bank_of

    text = bank_of("general-shop-safety")
    school = School.objects.create(name="Bench", time_zone="America/Chicago")
    teacher = Person.objects.enter(
        school=school, role="teacher", given_name="T", family_name="T", name="T", code="x" * 20
    )
    teacher.shops.create(school=school, name="Room 1")
    bank = Bank.objects.get(pk=published(teacher, text).pk)
    with transaction.atomic():
        for seed in range(TRIES):
            add_counts(bank.pk, earlier_years(text, STUDENTS, date(2025, 9, 1), seed))
    return bank, len(text.live_questions)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=15)
    rounds = parser.parse_args().rounds
    with tempfile.TemporaryDirectory() as folder:
        os.environ["SHOPSAFE_VAR"] = folder
        os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
        os.environ["DATABASE_URL"] = f"sqlite:///{Path(folder) / 'bench.sqlite3'}"
        import django
        from django.core.management import call_command

        django.setup()
        call_command("migrate", verbosity=0)
        json.dump(in_memory(rounds) | a_year(rounds), sys.stdout, indent=2)


if __name__ == "__main__":
    main()
