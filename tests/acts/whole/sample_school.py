"""What was done in a small school, as plain lists, and what the short model of clearance says of it at any moment.

It never looks into the database: the objects are asked for their keys alone.
"""

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

from machines.clearance import facts
from machines.clearance.amounts import asked_amounts
from machines.models import Machine, MachineKind
from quizzes.models import Bank
from shopsafe.school.models import Person
from tests.rules.clearance.model import model

ZONE = "America/Chicago"
SCHOOL = ZoneInfo(ZONE)
DAY, SECOND = timedelta(days=1), timedelta(seconds=1)
YEARS = [datetime(year, 8, 1, tzinfo=SCHOOL).astimezone(UTC) for year in range(2024, 2032)]


def midnight_after(day: date) -> datetime:
    return datetime.combine(day + DAY, datetime.min.time(), SCHOOL).astimezone(UTC)


def school_day(at: datetime) -> date:
    return at.astimezone(SCHOOL).date()


def school_year(at: datetime) -> tuple[datetime, datetime]:
    return next((begins, ends) for begins, ends in pairwise(YEARS) if begins <= at < ends)


class History:
    """Plain lists that only grow; whatever is taken back is marked as gone since a moment."""

    def __init__(self, students: list[Person], machines: list[Machine], terms: list[tuple[date, date]]) -> None:
        self.students, self.machines, self.terms = students, machines, terms
        self.editions: list[tuple[int, int, datetime, datetime | None]] = []  # bank, number, since, earlier ones until
        self.asked: list[tuple[int, datetime, dict[str, Any]]] = []  # kind, since, what
        self.passes: list[dict[str, Any]] = []
        self.tries: list[tuple[int, int, datetime]] = []
        self.agreements: list[dict[str, Any]] = []
        self.signed: list[dict[str, Any]] = []
        self.holds: list[dict[str, Any]] = []
        self.out: dict[int, Any] = {}

    def copy(self) -> "History":
        """A story to continue: what happens there does not happen here."""
        copied = History(self.students, self.machines, self.terms)
        copied.editions, copied.asked, copied.tries, copied.out = (
            [*self.editions],
            [*self.asked],
            [*self.tries],
            dict(self.out),
        )
        for name in ("passes", "agreements", "signed", "holds"):
            setattr(copied, name, [dict(row) for row in getattr(self, name)])
        return copied

    def asks(self, kind: MachineKind, since: datetime, banks: list[Bank], **said: Any) -> None:
        self.asked.append((kind.pk, since, {"banks": banks, "first": [], **said}))
        self.asked.sort(key=lambda row: row[1])

    # --- the model --------------------------------------------------------------------------------------------------

    def evidence(self, student: int, at: datetime) -> facts.StudentRecord:
        pk = self.students[student].pk
        return facts.StudentRecord(
            ZONE,
            tuple(facts.QuizPass(p["bank"], p["at"], self.counts_until(p, at), p["gone"], p["refresher"])
                  for p in self.passes if p["student"] == pk and p["at"] <= at),
            tuple(facts.AttemptStart(bank, when) for who, bank, when in self.tries if who == pk),
            tuple(facts.DocumentFact(a["at"], *school_year(a["at"]), a["gone"])
                  for a in self.agreements if a["student"] == pk),
            tuple(facts.SignOffFact(s["machine"].pk, s["machine"].kind_id, s["at"], "", self.term_ends(s["at"]),
                                school_year(s["at"])[1], s["gone"])
                  for s in self.signed if s["student"] == pk and s["at"] <= at),
            (),
            tuple(facts.HoldFact(h["at"], h["machines"], until=h["until"], lifted_at=h["gone"])
                  for h in self.holds if h["student"] == pk),
        )  # fmt: skip

    def counts_until(self, quiz_pass: dict[str, Any], at: datetime) -> datetime | None:
        later = (end for bank, n, since, end in self.editions
                 if bank == quiz_pass["bank"] and n > quiz_pass["number"] and since <= at and end)  # fmt: skip
        return min(later, default=None)

    def term_ends(self, at: datetime) -> datetime:
        day = school_day(at)
        return next(midnight_after(last) for first, last in self.terms if first <= day <= last)

    def runs(self, at: datetime) -> bool:
        """Whether that is a day of a term."""
        return any(first <= school_day(at) <= last for first, last in self.terms)

    def requirements(self, machine: Machine, at: datetime) -> facts.MachineRequirements:
        asked_fields = [
            asked_fields for kind, since, asked_fields in self.asked if kind == machine.kind_id and since <= at
        ]
        fields = dict(asked_fields[-1])
        banks = tuple(facts.QuizRequirement(bank.pk, bank.subject) for bank in fields.pop("banks"))
        first = tuple(
            facts.ClearedFirst(
                kind.name,
                tuple(
                    self.requirements(other_machine, at)
                    for other_machine in self.machines
                    if other_machine.kind_id == kind.pk
                ),
            )
            for kind in fields.pop("first")
        )
        documents = (facts.AGREEMENT,) if fields.pop("agreement", True) else ()
        amounts = asked_amounts({column: fields.pop(column, None) for column in ("refresh_days", "unused_days")})
        return facts.MachineRequirements(
            machine.pk, machine.kind_id, "", banks, machine.kind.bank_id, first, documents, amounts=amounts, **fields
        )

    def standings(self, at: datetime) -> list[str]:
        """Student by student, machine by machine."""
        asked = [self.requirements(machine, at) for machine in self.machines]
        known = [self.evidence(student, at) for student in range(len(self.students))]
        return [model(requirements, evidence, at) for evidence in known for requirements in asked]

    def standing(self, student: int, machine: Machine, at: datetime) -> str:
        return model(self.requirements(machine, at), self.evidence(student, at), at)

    def may_be_signed(self, new: dict[str, Any], student: int, at: datetime) -> bool:
        """Nothing else is missing, in a running class, on a machine in service: with it the student is cleared."""
        machine = new["machine"]
        if not self.runs(at) or machine.pk in self.out or self.standing(student, machine, at) == "cleared":
            return False
        self.signed.append(new)
        due = self.standing(student, machine, at) == "cleared"
        self.signed.pop()
        return due

    # --- moments at which something ends ----------------------------------------------------------------------------

    def endings(self) -> dict[str, list[datetime]]:
        """Of terms and school years, of the days a proof is good for, of holds, and of rules that others replace."""
        days = {
            asked_fields[name]
            for _, _, asked_fields in self.asked
            for name in ("refresh_days", "unused_days")
            if asked_fields[name]
        }
        proofs = [proof["at"] for proof in (*self.signed, *self.passes) if proof["gone"] is None]
        terms = [midnight_after(last) for _, last in self.terms]
        return {
            "terms": terms + [year for year in YEARS if year < terms[-1]],
            "days": [midnight_after(school_day(at) + n * DAY) for at in proofs for n in days],
            "holds": [hold["until"] for hold in self.holds if hold["until"] and hold["gone"] is None],
            "rules": [end for *_, end in self.editions if end] + [since for _, since, _ in self.asked],
        }
