"""Speed of clearance beside its floor: raw sqlite3, four filtered queries and sets, over the same rows.

    python -m tests.bench.clearance [--rounds 7]

Prints one JSON object: a class of 32 at 40 machines, and a school of 800 at 40 machines, in processor time. Floor and
real thing take turns (A B B A). The floor knows no editions, refreshers, other
machines first, reasons or sentences; it answers only who has every pass, a sign-off, an agreement and no hold.
"""

import argparse
import json
import os
import random
import sys
import tempfile
import uuid
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from tests.bench.measuring.timing import cpu_ratio

AT = datetime(2026, 10, 12, 17, 0, tzinfo=UTC)
EARLY = AT - timedelta(days=60)
STUDENTS, MACHINES, CLASS = 800, 40, 32
YEAR = 2026


@dataclass
class Built:
    """One school: 25 classes of 32, 40 kinds with a machine each. Four of five cells have been passed and shown."""

    school: Any
    shop: Any
    term: Any
    teacher: Any
    office: Any
    editions: list[Any] = field(default_factory=list)
    machines: list[Any] = field(default_factory=list)
    students: list[Any] = field(default_factory=list)
    sections: list[Any] = field(default_factory=list)


def fill() -> dict[str, Any]:
    from shopsafe.school.models import Person, School, Shop, Term

    school = School.objects.create(name="Bench", time_zone="America/Chicago")
    shop = Shop.objects.create(school=school, name="Room 1")
    term = Term.objects.create(school=school, name="Term", first_day=date(2026, 8, 31), last_day=date(2027, 1, 15))
    teacher, office = (
        Person.objects.enter(school=school, role=role, given_name=role, family_name="T", name=role, code="x" * 20)
        for role in ("teacher", "office")
    )
    shop.teachers.add(teacher)
    built = Built(school, shop, term, teacher, office)
    _machines(built)
    _students(built)
    _records(built)
    return {
        "section": built.sections[3].pk,
        "office": office.pk,
        "general": built.editions[0].bank_id,
        "own": {machine.pk: machine.kind.bank_id for machine in built.machines},
    }


def _machines(built: Built) -> None:
    from machines.models import Machine, MachineKind, Prerequisite, Requirements
    from quizzes.models import Acceptance, Bank, Edition

    school, draft = built.school, json.dumps({"bank": {"about": "x" * 20_000}})
    banks = Bank.objects.bulk_create(
        Bank(school=school, code=f"b{n}", subject=f"Bank {n}", draft=draft, draft_changed_at=EARLY)
        for n in range(MACHINES + 1)
    )
    built.editions = Edition.objects.bulk_create(
        Edition(school=school, bank=bank, number=1, content="{}", digest="0" * 64, published_at=EARLY) for bank in banks
    )
    Acceptance.objects.bulk_create(
        Acceptance(school=school, edition=edition, by=built.teacher, at=EARLY) for edition in built.editions
    )
    kinds = MachineKind.objects.bulk_create(
        MachineKind(school=school, code=f"k{n}", name=f"Kind {n}", bank=bank, stop="Stop.", demonstration=["a", "b"])
        for n, bank in enumerate(banks[1:])
    )
    built.machines = Machine.objects.bulk_create(
        Machine(school=school, shop=built.shop, kind=kind, number=n + 1, added_at=EARLY) for n, kind in enumerate(kinds)
    )
    rows = Requirements.objects.bulk_create(
        Requirements(school=school, kind=kind, holds_from=EARLY, set_at=EARLY) for kind in kinds
    )
    Prerequisite.objects.bulk_create(
        Prerequisite(requirements=row, place=place, bank=bank)
        for row, kind in zip(rows, kinds, strict=True)
        for place, bank in enumerate([banks[0], kind.bank])
    )


def _students(built: Built) -> None:
    from shopsafe.school.models import Enrollment, Person, Section, StudentDocument

    school, teacher = built.school, built.teacher
    built.students = Person.objects.bulk_create(
        Person(school=school, role="student", given_name="S", family_name=f"{n}", name=f"S {n}", sign_in_name=f"s{n}",
               sign_in_key=f"s{n}")
        for n in range(STUDENTS)
    )  # fmt: skip
    built.sections = [
        Section.objects.create(school=school, shop=built.shop, term=built.term, name=f"Class {n}")
        for n in range(STUDENTS // CLASS)
    ]
    Enrollment.objects.bulk_create(
        Enrollment(school=school, section=built.sections[n // CLASS], student=student, from_day=date(2026, 9, 1))
        for n, student in enumerate(built.students)
    )
    day = date(2026, 9, 1)
    StudentDocument.objects.bulk_create(
        StudentDocument(
            school=school, student=student, year=YEAR, signed_on=day, recorded_by=teacher, recorded_at=EARLY
        )
        for student in built.students
    )


def _records(built: Built) -> None:
    from machines.models import Hold, SignOff
    from quizzes.models import Attempt

    dice, passes, signed = random.Random(7), [], []
    for student in built.students:
        passes.append(_pass(built.school, student, built.editions[0]))
        for machine, edition in zip(built.machines, built.editions[1:], strict=True):
            if dice.random() < 0.8:
                passes.append(_pass(built.school, student, edition))
                signed.append(
                    SignOff(
                        school=built.school, student=student, machine=machine, kind_id=machine.kind_id, term=built.term,
                        by=built.teacher, at=AT - timedelta(days=9), points=["a", "b"],
                        tap=uuid.UUID(int=dice.getrandbits(128)),
                    )
                )  # fmt: skip
    Attempt.objects.bulk_create(passes, batch_size=1000)
    SignOff.objects.bulk_create(signed, batch_size=1000)
    Hold.objects.bulk_create(
        Hold(
            school=built.school, student=student, everywhere=True, reason="dress", lifts="talk",
            placed_by=built.teacher, placed_at=AT - timedelta(days=1), tap=uuid.UUID(int=n + 1),
        )
        for n, student in enumerate(built.students[::50])
    )  # fmt: skip


def _pass(school: Any, student: Any, edition: Any) -> Any:
    from quizzes.models import Attempt

    return Attempt(
        school=school, student=student, bank_id=edition.bank_id, edition=edition, seed=1, form={"lines": []},
        started_at=EARLY, handed_in_at=EARLY + timedelta(minutes=9), asked=10, correct=10,
    )  # fmt: skip


FLOOR = (
    "SELECT student_id, bank_id FROM quizzes_attempt WHERE perfect AND voided_at IS NULL AND student_id IN ({})",
    "SELECT student_id, machine_id FROM machines_signoff WHERE undone_at IS NULL AND withdrawn_at IS NULL"
    " AND student_id IN ({})",
    "SELECT student_id FROM machines_hold WHERE lifted_at IS NULL AND student_id IN ({})",
    f"SELECT student_id FROM school_safetyagreement WHERE year = {YEAR} AND student_id IN ({{}})",  # noqa: S608
)


def floor(where: dict[str, Any], students: list[int]) -> Callable[[], int]:
    """How many cells are cleared, the bare way."""
    from django.db import connection

    marks = ",".join("?" * len(students))
    statements = [statement.format(marks) for statement in FLOOR]

    def cleared() -> int:
        raw = connection.connection
        passed, signed, held, agreed = (set(raw.execute(statement, students).fetchall()) for statement in statements)
        fit = [s for s in students if (s,) in agreed and (s,) not in held and (s, where["general"]) in passed]
        return sum((s, m) in signed and (s, bank) in passed for s in fit for m, bank in where["own"].items())

    return cleared


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=7)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"SHOPSAFE_VAR": folder, "DJANGO_SETTINGS_MODULE": "shopsafe.settings"}
        os.environ |= {
            "DATABASE_URL": f"sqlite:///{Path(folder) / 'bench.sqlite3'}",
            "SITE_URL": "http://127.0.0.1:8000",
        }
        import django
        from django.core.management import call_command

        django.setup()
        call_command("migrate", verbosity=0)
        json.dump(measured(fill(), options.rounds), sys.stdout, indent=2)


def measured(where: dict[str, Any], rounds: int) -> dict[str, Any]:
    from django.db import connection

    from machines.clearance.facts import Standing
    from machines.clearance.queries import briefs_for_section
    from machines.register.school import school_summary
    from shopsafe.school.models import Person, Section
    from shopsafe.school.people.classes import students_of
    from shopsafe.serving.memory import keep_loaded

    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    section = Section.objects.select_related("school").get(pk=where["section"])
    office = Person.objects.select_related("school").get(pk=where["office"])
    one_class = floor(where, [student.pk for student in students_of(section, AT)])
    everybody = floor(where, list(Person.objects.filter(role="student").values_list("pk", flat=True)))
    briefs = briefs_for_section(section, AT)
    assert sum(answer.cleared for answer in briefs.answers.values()) == one_class()
    counts = [count for _, _, row in school_summary(office, AT).rows for count in row]
    assert sum(count.counts[Standing.CLEARED] for count in counts) == everybody()
    keep_loaded()
    one, every = f"class {CLASS} x {MACHINES}", f"school {STUDENTS} x {MACHINES}"
    return {
        one: cpu_ratio(one_class, lambda: briefs_for_section(section, AT), times=20, rounds=rounds),
        every: cpu_ratio(everybody, lambda: school_summary(office, AT), times=1, rounds=rounds),
    }


if __name__ == "__main__":
    main()
