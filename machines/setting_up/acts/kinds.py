"""Kinds of machine: from the banks that describe one, or described by a teacher for a bank that does not."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from django.utils.text import slugify

from machines.models import Machine, MachineKind, Prerequisite, Requirements
from quizzes.models import Bank
from shopsafe.act import act
from shopsafe.language.messages import _
from shopsafe.logbook.append import append
from shopsafe.school.access import allow
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock_school
from shopsafe.school.models import Person, School
from shopsafe.school.naming.entered import entered_name
from shopsafe.school.naming.rules.characters import UNSEEN, unprintable
from shopsafe.school.refusals import Refused

DEED: Final = "set up machines"
GENERAL = "general-shop-safety"
HELPER = ("helpers", "helper_role", "helper_cleared")
MOST_HELPERS, ROLE_MAX = 4, 40
LISTS = ("protect", "pre_use", "demonstration", "tag_out", "stop_and_ask")


@dataclass(frozen=True)
class HelperNeed:
    """The helpers that a run of this type needs (outfeed, spotter). `cleared`: on the machine, as its user is."""

    helpers: int = 0
    role: str = ""
    cleared: bool = True


@act
def load_kinds(*, school: School, by: Person | None, at: datetime | None = None) -> list[MachineKind]:
    """A kind of machine for each bank of the school that describes one and has none yet; kinds that are there stay
    as they are. Each asks at first for general safety, where the school has that bank, and for its own quiz.

    `by` is None at the server's command line. Refused: access.not-yours.
    """
    if by is not None:
        allow(by, DEED)
        if by.school_id != school.pk:
            raise Refused("machine.elsewhere", _("That belongs to another school."), 403)
    lock_school(school.pk)
    at = act_moment(school.pk, at)
    existing_codes = set(MachineKind.objects.filter(school=school).values_list("code", flat=True))
    banks = list(Bank.objects.filter(school=school).order_by("pk"))
    general = next((bank for bank in banks if bank.code == GENERAL), None)
    new_kinds = []
    for bank in banks:
        described = json.loads(bank.draft).get("machine")
        if described and described["code"] not in existing_codes:
            new_kinds.append(_kind(school, bank, described))
            asked = _first_requirements(new_kinds[-1], [general, bank], by, at)
            named = {"id": new_kinds[-1].pk, "name": new_kinds[-1].name}
            _record("kind.added", school.pk, by, at, machine_kind=named, banks=asked)
    return new_kinds


def _kind(school: School, bank: Bank, described: dict[str, Any]) -> MachineKind:
    lists = {name: list(described.get(name, [])) for name in LISTS}
    return MachineKind.objects.create(
        school=school,
        bank=bank,
        code=described["code"],
        name=described["name"],
        stop=described["stop"],
        pictogram=described.get("pictogram", ""),
        **lists,
    )


def _first_requirements(kind: MachineKind, banks: list[Bank | None], by: Person | None, at: datetime) -> list[Any]:
    """Set what a new kind asks for; return its banks as the logbook names them."""
    row = Requirements.objects.create(school=kind.school, kind=kind, holds_from=at, set_at=at, set_by=by)
    asked = [bank for bank in banks if bank is not None]
    Prerequisite.objects.bulk_create(
        Prerequisite(requirements=row, place=place, bank=bank) for place, bank in enumerate(asked)
    )
    return [{"id": bank.pk, "name": bank.subject} for bank in asked]


@act
def add_kind(
    *,
    bank: Bank,
    name: str,
    stop: str,
    lists: Mapping[str, Sequence[str]],
    by: Person,
    helper: HelperNeed | None = None,
    at: datetime | None = None,
) -> MachineKind:
    """A kind of machine for a bank that has none, as a teacher describes it. `lists` by the names in LISTS.

    Refused: access.not-yours, machine.elsewhere, kind.there, kind.incomplete, kind.helpers, name.character.
    """
    allow(by, DEED)
    if bank.school_id != by.school_id:
        raise Refused("machine.elsewhere", _("That belongs to another school."), 403)
    lock_school(by.school_id)
    at = act_moment(by.school_id, at)
    name = _checked(name, stop, lists)
    code = slugify(name)[:80]
    if (
        MachineKind.objects.filter(bank=bank).exists()
        or MachineKind.objects.filter(school=bank.school_id, code=code).exists()
    ):
        raise Refused("kind.there", _("There is such a kind of machine already."))
    if not (code and stop.strip() and lists.get("demonstration")):
        raise Refused("kind.incomplete", _("Give the kind its name, how to stop it, and what a student shows."), 422)
    described = {"code": code, "name": name[:80], "stop": stop.strip()[:300], **lists}
    new_kind = _kind(bank.school, bank, described)
    if helper is not None:
        _put_helper(new_kind, helper)
        new_kind.save(update_fields=HELPER)
    general = Bank.objects.filter(school=bank.school_id, code=GENERAL).first()
    asked = _first_requirements(new_kind, [general, bank], by, at)
    named = {"id": new_kind.pk, "name": new_kind.name}
    about = {"id": bank.pk, "name": bank.subject}
    _record("kind.added", new_kind.school_id, by, at, machine_kind=named, bank=about, banks=asked)
    return new_kind


@act
def change_kind(
    *,
    kind: MachineKind,
    name: str,
    stop: str,
    lists: Mapping[str, Sequence[str]],
    by: Person,
    helper: HelperNeed | None = None,
    at: datetime | None = None,
) -> MachineKind:
    """How it is stopped, what is worn, checked and shown, in the shop's own words; the logbook keeps what stood before.

    What was signed off keeps its points; without `helper` its helpers stay. Refused: access.not-yours,
    machine.elsewhere, kind.incomplete, kind.helpers, name.character.
    """
    allow(by, DEED)
    standing = Machine.objects.filter(kind=kind, retired_at=None)
    if kind.school_id != by.school_id:
        raise Refused("machine.elsewhere", _("That belongs to another school."), 403)
    if by.is_teacher and standing.exists() and not standing.filter(shop__teachers=by).exists():
        raise Refused("access.not-yours", _("Your shops have no machine of this kind."), 403)
    lock_school(by.school_id, kind)
    at, row = act_moment(by.school_id, at), kind
    name = _checked(name, stop, lists)
    if not (name and stop.strip() and lists.get("demonstration")):
        raise Refused("kind.incomplete", _("Give the kind its name, how to stop it, and what a student shows."), 422)
    before = _facts(row)
    row.name, row.stop = name[:80], stop.strip()[:300]
    for field in LISTS:
        setattr(row, field, list(lists.get(field, [])))
    if helper is not None:
        _put_helper(row, helper)
    if _facts(row) == before:
        return row
    row.save(update_fields=["name", "stop", *LISTS, *HELPER])
    named = {"id": row.pk, "name": row.name}
    _record("kind.changed", row.school_id, by, at, machine_kind=named, before=before, after=_facts(row))
    return row


def _checked(name: str, stop: str, lists: Mapping[str, Sequence[str]]) -> str:
    """The name, cleaned. Raises Refused where a text holds a character that breaks a print."""
    for text in (stop, *(point for points in lists.values() for point in points)):
        if character := unprintable(text):
            sentence = _(
                "“{text}” holds the character {character}, which can't be printed. Take it out.",
                text=text[:40].translate(UNSEEN),
                character=character,
            )
            raise Refused("name.character", sentence, 422)
    return entered_name(name, _("The name of the machine type"))


def _put_helper(kind: MachineKind, helper: HelperNeed) -> None:
    if not 0 <= helper.helpers <= MOST_HELPERS:
        raise Refused("kind.helpers", _("Enter a number of helpers from 0 to {most}.", most=MOST_HELPERS), 422)
    if character := unprintable(helper.role):
        raise Refused(
            "name.character",
            _("The helper’s name holds the character {character}. Take it out.", character=character),
            422,
        )
    kind.helpers, kind.helper_cleared = helper.helpers, helper.cleared
    kind.helper_role = helper.role.strip()[:ROLE_MAX] if helper.helpers else ""


def _facts(kind: MachineKind) -> dict[str, Any]:
    return {name: getattr(kind, name) for name in ("name", "stop", *LISTS, *HELPER)}


def _record(kind: str, school_id: int, by: Person | None, at: datetime, **what: Any) -> None:
    who = {"by": by.as_record()} if by is not None else {}
    append(kind=kind, school=school_id, at=at, payload={**who, **what})
