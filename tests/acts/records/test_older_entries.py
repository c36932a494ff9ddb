"""Records that an earlier program made: they verify as they are, and what its entries left unsaid hides no forgery."""

# ruff: noqa: S608  the statements are written here, and are the point

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, timedelta
from importlib import import_module
from typing import Any

import pytest
from django.apps import apps
from django.db import connection, transaction

from machines.holds import acts as hold_acts
from machines.holds.acts import place_hold
from machines.models import Hold, MachineKind, Prerequisite
from machines.setting_up.acts import kinds as kind_acts
from machines.setting_up.acts.kinds import GENERAL, add_kind, load_kinds
from quizzes.banks.editions import acts as edition_acts
from quizzes.banks.editions.acts import accept_bank, take_back_acceptance
from quizzes.facts import BankText
from quizzes.models import Acceptance, Bank, Edition
from shopsafe.logbook.append import append
from shopsafe.logbook.verification.verify import verify
from tests.acts.records.forgeries import tap
from tests.acts.records.test_forgeries import forged
from tests.cast import Cast, make_cast
from tests.factories.banks import AT, DAY, MINUTE, bank_text, make_bank, publish

pytestmark = pytest.mark.django_db
MACHINE = {
    "code": "band-saw",
    "name": "Band saw",
    "stop": "Push the red paddle.",
    "demonstration": ["Sets the guard"],
}
MACHINE_LISTS = {"demonstration": ["Sets the rest"]}


def without(monkeypatch: pytest.MonkeyPatch, module: Any, *keys: str) -> None:
    """Acts of this module write entries as they did before these keys were added."""
    now = module.append

    def append_then(*, payload: dict[str, Any], **entry: Any) -> Any:
        return now(payload={key: value for key, value in payload.items() if key not in keys}, **entry)

    monkeypatch.setattr(module, "append", append_then)


def bank_added(cast: Cast, text: BankText) -> Bank:
    """A bank that no one has published yet, with the entry of its adding."""
    bank = make_bank(cast.school, text, AT - 5 * DAY)
    payload = {"bank": {"id": bank.pk, "name": bank.subject}, "from": "shelf", "rules": len(text.rules)}
    with transaction.atomic():
        append(kind="bank.added", school=cast.school.pk, at=AT - 5 * DAY, payload=payload)
    return bank


def with_machine(text: BankText) -> BankText:
    return replace(text, extras={"machine": MACHINE})


@dataclass
class OlderSchool:
    """A school whose entries name no banks of machine types, no rules of holds and no approval of editions."""

    cast: Cast
    general: Bank
    saw_bank: Bank
    easy: Bank
    loaded: MachineKind
    described: MachineKind
    hold: Hold


@pytest.fixture
def older(monkeypatch: pytest.MonkeyPatch) -> OlderSchool:
    cast = make_cast()
    texts = bank_text(code=GENERAL), with_machine(bank_text(code="band-saw")), bank_text(code="lathe")
    general, saw_bank, lathe = (bank_added(cast, text) for text in texts)
    with monkeypatch.context() as then:
        without(then, kind_acts, "banks")
        without(then, hold_acts, "rules", "reason_code", "words", "lifts_code", "lifts_words")
        without(then, edition_acts, "approved")
        (loaded,) = load_kinds(school=cast.school, by=cast.teacher, at=AT - 4 * DAY)
        described = add_kind(
            bank=lathe, name="Lathe", stop="Hit the red button.", lists=MACHINE_LISTS, by=cast.teacher, at=AT - 4 * DAY
        )
        for bank in (general, saw_bank, lathe):
            publish(bank, cast.teacher, AT - 3 * DAY, accept=False)
        hold = place_hold(
            student=cast.student, machines=None, reason="horseplay", words="Threw a block", lifts="talk",
            by=cast.teacher, tap=tap(1), at=AT - 2 * DAY,
        )  # fmt: skip
    import_module("quizzes.migrations.0004_accept_what_teachers_published").accept(apps, None)
    return OlderSchool(cast, general, saw_bank, lathe, loaded, described, hold)


def approve_as_migrated(edition: Edition) -> None:
    Acceptance.objects.create(
        school_id=edition.school_id, edition=edition, by=edition.published_by, at=edition.published_at
    )


def test_records_of_an_upgraded_school_hold(older: OlderSchool) -> None:
    assert verify().says_wrong == ""


def test_records_of_an_upgraded_school_hold_later_too(older: OlderSchool) -> None:
    teacher, bank = older.cast.teacher, older.general
    take_back_acceptance(by=teacher, bank=bank.pk, reason="Read again", at=AT)
    accept_bank(by=teacher, bank=bank.pk, edition=1, at=AT + MINUTE)
    newer = bank_added(older.cast, bank_text(code="drill-press"))
    publish(newer, teacher, AT + DAY, accept=False)
    add_kind(bank=newer, name="Drill press", stop="Off.", lists=MACHINE_LISTS, by=teacher, at=AT + DAY)
    place_hold(
        student=older.cast.student, machines=None, reason="horseplay", words="Again", lifts="rules", bank=bank,
        rules=["r0"], by=teacher, tap=tap(2), at=AT + DAY,
    )  # fmt: skip
    assert verify().says_wrong == ""


def test_bank_that_came_after_the_machine_type_was_not_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    cast = make_cast()
    bank_added(cast, with_machine(bank_text()))
    with monkeypatch.context() as then:
        without(then, kind_acts, "banks")
        load_kinds(school=cast.school, by=cast.teacher, at=AT - 4 * DAY)
    bank_added(cast, bank_text(code=GENERAL))
    assert verify().says_wrong == ""


type Forgery = Callable[[OlderSchool], list[str]]


def asked(kind: MachineKind) -> str:
    return f"requirements_id IN (SELECT id FROM machines_requirements WHERE kind_id = {kind.pk})"


FORGED: dict[str, tuple[Forgery, str]] = {
    "requirements that ask for no quiz": (
        lambda o: [f"DELETE FROM machines_asked WHERE {asked(o.loaded)}"],
        "requirements of machine type {o.loaded.pk}",
    ),
    "requirements without general safety": (
        lambda o: [f"DELETE FROM machines_asked WHERE {asked(o.described)} AND bank_id = {o.general.pk}"],
        "requirements of machine type {o.described.pk}",
    ),
    "another quiz asked for": (
        lambda o: [
            f"UPDATE machines_asked SET bank_id = {o.easy.pk} WHERE {asked(o.loaded)} AND bank_id = {o.saw_bank.pk}"
        ],
        "requirements of machine type {o.loaded.pk}",
    ),
    "another quiz asked for, and made the type's own": (
        lambda o: [
            f"UPDATE machines_asked SET bank_id = {o.general.pk} WHERE {asked(o.loaded)} AND bank_id = {o.saw_bank.pk}",
            f"DELETE FROM machines_machinekind WHERE bank_id = {o.general.pk}",
            f"UPDATE machines_machinekind SET bank_id = {o.general.pk} WHERE id = {o.loaded.pk}",
        ],
        "requirements of machine type {o.loaded.pk}",
    ),
    "another bank called general safety": (
        lambda o: [
            f"UPDATE quizzes_bank SET code = 'x' WHERE id = {o.general.pk}",
            f"UPDATE quizzes_bank SET code = '{GENERAL}' WHERE id = {o.easy.pk}",
            f"UPDATE machines_asked SET bank_id = {o.easy.pk} WHERE {asked(o.loaded)} AND bank_id = {o.general.pk}",
        ],
        "requirements of machine type {o.loaded.pk}",
    ),
    "a hold that is lifted by studying a rule": (
        lambda o: [f"""UPDATE machines_hold SET rules = '["r0"]' WHERE id = {o.hold.pk}"""],
        "hold {o.hold.pk}",
    ),
    "an approval by another teacher": (
        lambda o: [f"UPDATE quizzes_acceptance SET by_id = {o.cast.colleague.pk}"],
        "approval of edition {o.general.editions.get.pk}",
    ),
    "an approval deleted": (
        lambda o: ["DELETE FROM quizzes_acceptance"],
        "approval of edition {o.general.editions.get.pk}",
    ),
    "an approval at another moment": (
        lambda o: ["UPDATE quizzes_acceptance SET at = (SELECT max(placed_at) FROM machines_hold)"],
        "approval of edition {o.general.editions.get.pk}",
    ),
}


@pytest.mark.parametrize("forgery", FORGED)
def test_verify_names_an_older_record_after(forgery: str, older: OlderSchool) -> None:
    statements, named = FORGED[forgery]
    verdict = forged(*statements(older))
    record = named.replace("{o.general.editions.get.pk}", str(older.general.editions.get().pk)).format(o=older)
    assert [fault for fault in verdict.records if record in fault.sentence], verdict.says_wrong


def test_edition_that_says_it_is_not_approved_is_not_approved_by_a_row(older: OlderSchool) -> None:
    newer = bank_added(older.cast, bank_text(code="drill-press"))
    publish(newer, older.cast.teacher, AT, accept=False)
    edition = newer.editions.get()
    approve_as_migrated(edition)
    assert f"approval of edition {edition.pk} says" in verify().says_wrong


def test_older_time_ends_with_the_first_entry_of_a_later_program(
    older: OlderSchool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An edition published without approval, by a program that did not say so yet: a row does not make it approved."""
    take_back_acceptance(by=older.cast.teacher, bank=older.general.pk, reason="Read again", at=AT)
    newer = bank_added(older.cast, bank_text(code="drill-press"))
    with monkeypatch.context() as then:
        without(then, edition_acts, "approved")
        publish(newer, older.cast.teacher, AT + DAY, accept=False)
    approve_as_migrated(newer.editions.get())
    assert f"approval of edition {newer.editions.get().pk} says" in verify().says_wrong


def test_edition_published_after_the_migration_is_not_approved_by_a_row(older: OlderSchool) -> None:
    with transaction.atomic():
        with connection.cursor() as cursor:
            cursor.execute(
                "UPDATE django_migrations SET applied = %s WHERE name = '0004_accept_what_teachers_published'",
                [connection.ops.adapt_datetimefield_value((AT - 4 * DAY).astimezone(UTC))],
            )
        verdict = verify()
        transaction.set_rollback(True)
    assert len([fault for fault in verdict.records if "approval of edition" in fault.sentence]) == 3


def test_machine_type_without_banks_is_named_once_entries_say_them(
    older: OlderSchool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An entry after the older time that leaves its banks out proves no banks."""
    cast, at = older.cast, AT + timedelta(days=1)
    bank = bank_added(cast, bank_text(code="drill-press"))
    add_kind(bank=bank, name="Drill press", stop="Off.", lists=MACHINE_LISTS, by=cast.teacher, at=at)
    second = bank_added(cast, bank_text(code="planer"))
    with monkeypatch.context() as then:
        without(then, kind_acts, "banks")
        add_kind(bank=second, name="Planer", stop="Off.", lists=MACHINE_LISTS, by=cast.teacher, at=at + MINUTE)
    (fault,) = verify().records
    assert "requirements of machine type" in fault.sentence
    assert Prerequisite.objects.filter(bank=second).exists()
