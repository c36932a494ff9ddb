"""An invented district for measuring: schools, students, machines, records and logbook, as many as are asked for.

The whole of it: 200 schools of 500 students and 40 machines each, 1,000,000 passed attempts, 1,500,000 entries. Rows
are put in by the thousand and not by the acts, so that it takes minutes; what the entries say is shorter than in a
school at work, and attempts keep no answers. The school that is asked is the same in each size, and what was done there
stands between what was done in the others.
"""

import random
import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from hashlib import sha256
from typing import Any

SCHOOLS, STUDENTS, CLASS, MACHINES, PASSES, SHOWN = 200, 500, 25, 40, 10, 4

type Row = tuple[datetime, str, dict[str, Any], Any]  # moment, kind and payload of its entry, and the row if any


@dataclass(frozen=True)
class Asked:
    """The one school whose pages are asked for."""

    student: Any
    teacher: Any
    office: Any
    section: Any
    machine: Any
    banks: list[Any]


def seed(percent: int, at: datetime) -> Asked:
    from django.db import transaction

    texts, count = _texts(), max(1, SCHOOLS * percent // 100)
    first = _School(0, at, texts)
    with transaction.atomic():
        first.begin()
    rows = first.rows()
    for number in range(count):
        with transaction.atomic():
            first.put(rows[len(rows) * number // count : len(rows) * (number + 1) // count])
            if number:
                other = _School(number, at, texts)
                other.begin()
                other.put(other.rows())
    return Asked(
        first.students[0], first.teacher, first.office, first.sections[0], first.machines[0], list(first.banks)
    )


def _texts() -> list[tuple[str, str, str]]:
    """(code, subject, frozen content) of the banks of a wood shop."""
    from quizzes.banks.editions.texts import frozen
    from tests.shelf.banks import WOOD_SHOP, bank_of

    return [(code, bank_of(code).subject, frozen(bank_of(code), {})[0]) for code in WOOD_SHOP]


class _School:
    """One school. Dice of its own, so that a school is the same in a small district and in a large one."""

    def __init__(self, number: int, at: datetime, texts: list[tuple[str, str, str]]) -> None:
        self.number, self.at, self.texts, self.dice = number, at, texts, random.Random(number)
        self.early = at - timedelta(days=40)

    def begin(self) -> None:
        """All but what was done there."""
        self._places()
        self._banks()
        self._machines()
        self._students()

    def _places(self) -> None:
        from shopsafe.school.models import Person, School, Shop, Term

        day = self.at.date()
        self.school = School.objects.create(name=f"School {self.number}", time_zone="America/Chicago")
        self.shop = Shop.objects.create(school=self.school, name="Room 1")
        days = {"first_day": day - timedelta(days=60), "last_day": day + timedelta(days=90)}
        self.term = Term.objects.create(school=self.school, name="Term", **days)
        self.teacher, self.office = Person.objects.bulk_create(
            Person(
                school=self.school, role=role, name=f"{role} {self.number}", sign_in_name=f"{role}-{self.number}",
                sign_in_key=f"{role}{self.number}", password="!",
            )
            for role in ("teacher", "office")
        )  # fmt: skip
        self.shop.teachers.add(self.teacher)

    def _banks(self) -> None:
        from quizzes.models import Acceptance, Bank, Edition

        self.banks = Bank.objects.bulk_create(
            Bank(school=self.school, code=code, subject=subject, draft="{}", draft_changed_at=self.early)
            for code, subject, _ in self.texts
        )
        contents = [content.replace('"about":"', f'"about":"{self.number}: ', 1) for *_, content in self.texts]
        self.editions = Edition.objects.bulk_create(
            Edition(
                school=self.school, bank=bank, number=1, content=content, published_at=self.early,
                digest=sha256(content.encode()).hexdigest(),
            )
            for bank, content in zip(self.banks, contents, strict=True)
        )  # fmt: skip
        Acceptance.objects.bulk_create(
            Acceptance(school=self.school, edition=edition, by=self.teacher, at=self.early) for edition in self.editions
        )

    def _machines(self) -> None:
        from machines.models import Machine, MachineKind, Prerequisite, Requirements

        general = next(bank for bank in self.banks if bank.code == "general-shop-safety")
        own = [bank for bank in self.banks if bank is not general]
        self.kinds = MachineKind.objects.bulk_create(
            MachineKind(
                school=self.school, code=bank.code, name=bank.subject, bank=bank, stop="Stop.", demonstration=["a", "b"]
            )
            for bank in own
        )
        self.machines = Machine.objects.bulk_create(
            Machine(
                school=self.school, shop=self.shop, kind=self.kinds[n % len(own)], number=n + 1, added_at=self.early
            )
            for n in range(MACHINES)
        )
        rows = Requirements.objects.bulk_create(
            Requirements(school=self.school, kind=kind, holds_from=self.early, set_at=self.early) for kind in self.kinds
        )
        Prerequisite.objects.bulk_create(
            Prerequisite(requirements=row, place=place, bank=bank)
            for row, kind in zip(rows, self.kinds, strict=True)
            for place, bank in enumerate([general, kind.bank])
        )

    def _students(self) -> None:
        from shopsafe.school.calendar import local_day, school_year
        from shopsafe.school.models import Enrollment, Person, Section, StudentDocument

        self.students = Person.objects.bulk_create(
            Person(
                school=self.school, role="student", given_name=f"Student{n}", family_name=f"Vale {self.number}",
                name=f"Student{n} Vale {self.number}", sign_in_name=f"s-{self.number}-{n}",
                sign_in_key=f"s{self.number}x{n}", local_id=f"{n:06}", password="!",
            )
            for n in range(STUDENTS)
        )  # fmt: skip
        self.sections = Section.objects.bulk_create(
            Section(school=self.school, shop=self.shop, term=self.term, name=f"Class {n}")
            for n in range(STUDENTS // CLASS)
        )
        self.sections[0].teachers.add(self.teacher)
        day = self.early.date()
        Enrollment.objects.bulk_create(
            Enrollment(school=self.school, section=self.sections[n // CLASS], student=student, from_day=day)
            for n, student in enumerate(self.students)
        )
        year = school_year(local_day(self.early, self.school.time_zone), self.school.year_first_month)
        StudentDocument.objects.bulk_create(
            StudentDocument(
                school=self.school, student=student, year=year, signed_on=day, recorded_by=self.teacher,
                recorded_at=self.early,
            )
            for student in self.students
        )  # fmt: skip

    def rows(self) -> list[Row]:
        """Each student enrolled, ten quizzes passed, four machines shown, in the order of time."""
        return sorted(self._rows(), key=lambda row: row[0])

    def put(self, rows: list[Row]) -> None:
        from machines.models import SignOff
        from quizzes.models import Attempt

        entries = self._entries([(kind, payload) for _, kind, payload, _ in rows])
        for entry, (*_, row) in zip(entries, rows, strict=True):
            if row is not None:
                row.entry = entry
        Attempt.objects.bulk_create([row for *_, row in rows if isinstance(row, Attempt)], batch_size=1_000)
        SignOff.objects.bulk_create([row for *_, row in rows if isinstance(row, SignOff)], batch_size=1_000)

    def _entries(self, written: list[tuple[str, dict[str, Any]]]) -> list[Any]:
        from shopsafe.logbook.append import append_all

        return append_all(school=self.school.pk, at=self.at - timedelta(days=1), entries=written)

    def _rows(self) -> Iterator[Row]:
        for n, student in enumerate(self.students):
            named = {"student": student.as_record()}
            section = {"id": self.sections[n // CLASS].pk, "name": self.sections[n // CLASS].name}
            yield self.early, "student.enrolled", {**named, "section": section, "new": True}, None
            general, *others = sorted(self.editions, key=lambda e: e.bank.code != "general-shop-safety")
            taken = [general, *self.dice.sample(others, PASSES - 1)]
            for edition in taken:
                yield self._pass(student, edition, named)
            banks = {edition.bank_id for edition in taken}
            fit = [machine for machine in self.machines if machine.kind.bank_id in banks]
            for machine in self.dice.sample(fit, SHOWN):
                yield self._shown(student, machine, named)

    def _moment(self) -> datetime:
        return self.early + timedelta(seconds=self.dice.randrange(30 * 86_400))

    def _pass(self, student: Any, edition: Any, named: dict[str, Any]) -> Row:
        from quizzes.models import Attempt

        at = self._moment()
        attempt = Attempt(
            school=self.school, student=student, bank_id=edition.bank_id, edition=edition, seed=1, form={"lines": []},
            started_at=at, handed_in_at=at + timedelta(minutes=9), asked=20, correct=20,
        )  # fmt: skip
        bank = {"id": edition.bank_id, "name": edition.bank.subject}
        asked = [{"asks": "What comes first at this machine?", "answered": ["The guard"], "right": True}] * 10
        return at, "attempt.passed", {**named, "bank": bank, "attempt": str(attempt.pk), "questions": asked}, attempt

    def _shown(self, student: Any, machine: Any, named: dict[str, Any]) -> Row:
        from machines.models import SignOff

        at = self._moment()
        sign_off = SignOff(
            school=self.school, student=student, machine=machine, kind_id=machine.kind_id, term=self.term,
            by=self.teacher, at=at, points=["a", "b"], tap=uuid.UUID(int=self.dice.getrandbits(128)),
        )  # fmt: skip
        there = {"machine": {"id": machine.pk, "name": f"Machine {machine.number}"}, "by": self.teacher.as_record()}
        return at, "signoff.made", {**named, **there, "points": ["a", "b"]}, sign_off
