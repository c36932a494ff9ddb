"""What the first requirements of a machine type asked for, where its entry is older than the list of banks in it.

That program asked of every new machine type the bank of general safety, if the school had it by that time, and the
type's own bank. Which banks those are is read from the texts of first editions, which the logbook proves by digest:
only a bank without an edition, which no one can pass, is taken from the bank's own row.
"""

import json
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from django.db import connection

from shopsafe.logbook.verification.older import Complete, OlderTime, Payload

GENERAL = "general-shop-safety"
BANKS = """
    SELECT b.id, b.school_id, b.code, e.content FROM quizzes_bank b
    LEFT JOIN quizzes_edition e ON e.bank_id = b.id AND e.number = 1 ORDER BY b.id
"""
OWN = "SELECT id, bank_id FROM machines_machinekind"


@dataclass(frozen=True)
class BankThen:
    """A bank, with its code and the name of its machine as its first edition says them."""

    pk: int
    school: int
    code: str
    machine: str | None
    published: bool


@dataclass
class FirstRequirements:
    """One reading of the logbook: which banks were there before each entry, and until when entries leave them out."""

    older: OlderTime = field(default_factory=OlderTime)
    added: set[int] = field(default_factory=set)

    @cached_property
    def banks(self) -> list[BankThen]:
        with connection.cursor() as cursor:
            cursor.execute(BANKS)
            return [bank_then(*row) for row in cursor.fetchall()]

    @cached_property
    def own_banks(self) -> dict[int, int]:
        with connection.cursor() as cursor:
            cursor.execute(OWN)
            return dict(cursor.fetchall())

    def complete(self, kind: str, payload: Payload) -> Payload | None:
        if kind == "bank.added":
            self.added.add(payload["bank"]["id"])
            return None
        if kind == "kind.added":
            if "banks" in payload:
                self.older.end_at(payload)
            elif self.older.holds(payload):
                return {**payload, "banks": [{"id": pk} for pk in self.asked(payload)]}
        return payload

    def asked(self, payload: Payload) -> list[int]:
        school = payload["school_of_entry"]
        here = [bank for bank in self.banks if bank.school == school and bank.pk in self.added]
        general = [bank.pk for bank in here if bank.code == GENERAL][:1]
        return [*general, *self.own(payload, here)]

    def own(self, payload: Payload, here: list[BankThen]) -> list[int]:
        """The machine type's own bank: named in the entry, else the one whose text describes that machine."""
        if "bank" in payload:
            return [payload["bank"]["id"]]
        kept = self.own_banks.get(payload["machine_kind"]["id"])
        describing = [bank.pk for bank in here if bank.machine == payload["machine_kind"]["name"]]
        unpublished = any(bank.pk == kept and not bank.published for bank in here)
        if kept is None or (describing and kept not in describing and not unpublished):
            return describing[:1]
        return [kept]


def bank_then(pk: int, school: int, code: str, content: str | None) -> BankThen:
    if content is None:
        return BankThen(pk, school, code, None, published=False)
    text: dict[str, Any] = json.loads(content)["bank"]
    machine = text.get("machine") or {}
    return BankThen(pk, school, text["bank"]["code"], machine.get("name"), published=True)


def first_requirements() -> Complete:
    return FirstRequirements().complete
