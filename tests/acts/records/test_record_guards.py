"""The triggers that keep the records: verify names each that was dropped or weakened; no new record goes unguarded."""

import pytest
from django.apps import apps
from django.db import IntegrityError, connection, models, transaction

from shopsafe.logbook.models import Entry
from shopsafe.logbook.verification import declared, guards
from shopsafe.logbook.verification.verify import verify
from tests.acts.records.forgeries import Recorded, make_records
from tests.acts.records.test_forgeries import CHANGED, Forgery
from tests.logbook.record import run

pytestmark = pytest.mark.django_db


@pytest.fixture
def records() -> Recorded:
    return make_records()


# ---- triggers -------------------------------------------------------------------------------------------------------

GUARDED = sorted(guards.expected_triggers(connection.vendor))


def tampered(*statements: str) -> str:
    with transaction.atomic():
        run(statements)
        says = verify().says_wrong
        transaction.set_rollback(True)
    return says


def dropping(name: str) -> str:
    trigger = guards.expected_triggers(connection.vendor)[name]
    table = f' ON "{trigger.table}"' if connection.vendor == "postgresql" else ""
    return f'DROP TRIGGER "{name}"{table}'


@pytest.mark.parametrize("name", GUARDED)
def test_verify_names_a_trigger_that_was_dropped(name: str) -> None:
    assert tampered(dropping(name)) == f"The database no longer refuses every change: {name} is missing."


@pytest.mark.parametrize("name", GUARDED)
def test_verify_names_a_trigger_that_refuses_less(name: str) -> None:
    trigger = guards.expected_triggers(connection.vendor)[name]
    if connection.vendor == "postgresql":
        body = "$$ BEGIN RETURN CASE TG_OP WHEN 'DELETE' THEN OLD ELSE NEW END; END $$"
        weaker = [f"CREATE OR REPLACE FUNCTION {trigger.function}() RETURNS trigger LANGUAGE plpgsql AS {body}"]
    else:
        weaker = [dropping(name), f"{trigger.create.partition(' BEGIN ')[0]} BEGIN SELECT 1; END"]
    assert f"{name} was changed" in tampered(*weaker)


def test_verify_names_a_trigger_that_is_switched_off() -> None:
    if connection.vendor == "postgresql":
        off = "ALTER TABLE machines_signoff DISABLE TRIGGER kept_machines_signoff_update"
        assert "kept_machines_signoff_update is switched off" in tampered(off)


def test_verify_names_a_trigger_that_the_program_did_not_install() -> None:
    foreign = "CREATE TRIGGER quiet BEFORE INSERT ON machines_hold FOR EACH ROW "
    foreign += (
        "EXECUTE FUNCTION kept_machines_hold_truncate()"
        if connection.vendor == "postgresql"
        else "BEGIN SELECT RAISE(IGNORE); END"
    )
    assert "quiet is a trigger on machines_hold that the program did not install" in tampered(foreign)


def test_triggers_are_put_back_after_a_migration() -> None:
    with transaction.atomic():
        run([dropping(name) for name in GUARDED if name.startswith("kept_")])
        guards.install_triggers()
        assert guards.trigger_faults() == []
        transaction.set_rollback(True)


def test_triggers_are_taken_away_only_for_a_migration_that_has_something_to_do() -> None:
    with transaction.atomic():
        guards.remove_triggers(plan=[])
        assert guards.trigger_faults() == []
        guards.remove_triggers(plan=["a migration"])
        assert {fault.removesuffix(" is missing") for fault in guards.trigger_faults()} == {
            name for name in GUARDED if name.startswith("kept_")
        }
        transaction.set_rollback(True)


# ---- declarations ---------------------------------------------------------------------------------------------------

OWN = {"logbook"}  # the logbook's own tables have triggers of their own


def points_at_an_entry(model: type[models.Model]) -> bool:
    return any(field.related_model is Entry for field in model._meta.local_concrete_fields)


def test_every_model_that_names_an_entry_is_declared_and_guarded() -> None:
    """A new model with a key to an entry fails here until its app declares it, with a guard."""
    guarded = {table.table for table in declared.DECLARED.values() if table.guard and table.aspects}
    named = {
        model._meta.db_table
        for model in apps.get_models()
        if points_at_an_entry(model) and model._meta.app_label not in OWN
    }
    assert named >= {"machines_signoff", "machines_hold", "machines_tagout", "quizzes_attempt"}
    assert named <= guarded


def test_every_guarded_table_has_each_of_its_columns_fixed_or_written_once() -> None:
    """A new column of a record fails here until its guard says how it may change."""
    free = {"quizzes_answer": {"response", "revision", "saved_at"}, "quizzes_ruleread": {"tries"}}
    free |= {"machines_hold": {"learned"}, "quizzes_attempt": {"perfect"}}
    for table in declared.DECLARED.values():
        for name, guard in table.guard.of_tables(table.table) if table.guard else ():
            with connection.cursor() as cursor:
                columns = {column.name for column in connection.introspection.get_table_description(cursor, name)}
            said = set(" ".join((guard.fixed, *guard.ends)).split())
            assert columns - said <= free.get(name, set()), name
            assert said <= columns, name


# ---- what the database refuses --------------------------------------------------------------------------------------

REFUSED: dict[str, Forgery] = {
    name: forgery
    for name, (forgery, _, _) in CHANGED.items()
    if name
    in {
        "another answer",
        "an answer deleted",
        "a card never read",
        "a card read again later",
        "the text of an edition changed",
        "earlier passes no longer count",
        "requirements that ask for less",
        "requirements without an agreement",
        "an approval whose withdrawal was taken out",
    }
}


@pytest.mark.parametrize("forgery", REFUSED)
def test_the_database_refuses(forgery: str, records: Recorded) -> None:
    with pytest.raises(IntegrityError, match="on record"), transaction.atomic():
        run(REFUSED[forgery](records)[:1])
