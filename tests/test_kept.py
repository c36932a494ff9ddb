"""What is kept for later tests is as the factories would make it, and no two tests have a part in common."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any
from uuid import uuid4

import factory
import pytest
from django.apps import apps
from django.contrib.auth.hashers import check_password
from django.db import connection, models, transaction

from machines.holds.acts import lift_hold, place_hold
from machines.models import Hold
from quizzes.banks.draft_rows import draft_of
from quizzes.banks.editions.texts import text_of
from shopsafe.school.models import Person, School
from tests.cast import Cast, make_cast
from tests.factories.banks import bank_text, published
from tests.factories.kept import columns, kept, quoted, table, ways
from tests.factories.machines import NOON, Floor, MachineFactory, make_floor
from tests.factories.people import CODE, PASSWORD, EnrollmentFactory, SchoolFactory, TeacherFactory
from tests.logbook.record import chain_holds

RANDOM = {"school_person.password"}  # salted


@contextmanager
def undone() -> Iterator[None]:
    """As one test after another: nothing of the block stays in the database."""
    block = transaction.atomic()
    block._from_testcase = True  # as Django's own: acts are durable
    with block:
        yield
        transaction.set_rollback(True)


def factories(of: type = factory.django.DjangoModelFactory) -> list[Any]:
    return [each for subclass in of.__subclasses__() for each in (subclass, *factories(subclass))]


def number_from(number: int) -> None:
    for factory_class in factories():
        factory_class.reset_sequence(number, force=True)


def everything() -> dict[str, list[dict[str, Any]]]:
    """Every value of every row, as the database writes it; keys, which go on, as the how-manieth row they name."""
    rows_by_model, place = {}, {}
    for model in apps.get_models(include_auto_created=True):
        with connection.cursor() as cursor:
            values = ", ".join(quoted(column) for column in columns(model))
            cursor.execute(f"SELECT {values} FROM {table(model)} ORDER BY {model._meta.pk.column}")  # noqa: S608
            fields = [field for field in model._meta.local_concrete_fields if not field.generated]
            rows_by_model[model] = [dict(zip(fields, row, strict=True)) for row in cursor.fetchall()]
        for number, row in enumerate(rows_by_model[model], 1):
            place[model, row[model._meta.pk]] = f"row {number}"

    def told(field: Any, value: str) -> str:
        whose = field.model if field.primary_key else field.related_model
        return place.get((whose, value), value)

    named = {
        model: [{field.column: told(field, value) for field, value in row.items()} for row in rows]
        for model, rows in rows_by_model.items()
    }
    for model, rows in named.items():
        if model._meta.auto_created:  # Django puts the rows of many-to-many in as a set has them
            named[model] = sorted((row | {"id": ""} for row in rows), key=str)
    return {model._meta.db_table: rows for model, rows in named.items()}


def without_random(rows: dict[str, list[dict[str, Any]]]) -> dict[str, list[dict[str, Any]]]:
    return {
        table: [{column: value for column, value in row.items() if f"{table}.{column}" not in RANDOM} for row in each]
        for table, each in rows.items()
    }


def objects(thing: Any) -> dict[tuple[str, ...], Any]:
    """Each object once, by the shortest way to it."""
    return {path: instance for instance, (_, path) in ways((thing,))}


Arrangement = Callable[[], Any]


def of_floor(cast: Callable[[], Cast], floor: Callable[[Cast], Floor]) -> Arrangement:
    return lambda: floor(cast())


@pytest.fixture
def made_and_repeated(db: None) -> tuple[Arrangement, Arrangement]:
    """The floor with its cast: as the factories make it, and as it is put in again."""
    cast, floor = make_cast.__wrapped__, make_floor.__wrapped__
    repeat = of_floor(kept(cast), kept(floor))
    start = max(factory_class._meta.next_sequence() for factory_class in factories())
    number_from(start)
    with undone():
        repeat()
    number_from(start)
    return of_floor(cast, floor), repeat


def test_its_rows_are_those_that_the_factories_make(made_and_repeated: tuple[Arrangement, Arrangement]) -> None:
    make, repeat = made_and_repeated
    with undone():
        arranged = make()
        rows = everything()
    asked = SchoolFactory._meta.next_sequence()
    with undone():
        repeated = repeat()
        again = everything()
        hashes = list(Person.objects.values_list("role", "password"))
    assert SchoolFactory._meta.next_sequence() == asked + 1, "the factories were asked"
    assert without_random(again) == without_random(rows)
    assert sum(map(len, again.values())) > 50
    assert all(check_password(PASSWORD if role == "teacher" else CODE, password) for role, password in hashes)
    ways_there = {path: type(instance) for path, instance in objects(arranged).items()}
    assert {path: type(instance) for path, instance in objects(repeated).items()} == ways_there
    assert len(ways_there) > 25


def test_a_history_is_put_in_again_to_the_letter(floor: Floor) -> None:
    """Acts draw at random and write in the logbook, whose triggers see to the order."""

    @kept
    def history(floor: Floor) -> tuple[Hold, Hold]:
        asked = {"student": floor.cast.student, "machines": [floor.saw_2], "reason": "misuse", "lifts": "talk"}
        first, second = (place_hold(**asked, by=floor.cast.teacher, tap=uuid4(), at=NOON) for _ in range(2))
        return lift_hold(hold=first, by=floor.cast.teacher, words="Talked", at=NOON), second

    with undone():
        placed = history(floor)
        rows = everything()
    repeated = history(floor)
    assert everything() == rows
    for again, hold in zip(repeated, placed, strict=True):
        assert again.pk == hold.pk
        assert (again.student is floor.cast.student) == (hold.student is floor.cast.student)
    assert len(rows["logbook_entry"]) == len(rows["logbook_body"]) == 3
    assert rows["machines_hold_machines"]
    assert chain_holds()


def test_its_objects_say_what_its_rows_say(made_and_repeated: tuple[Arrangement, Arrangement]) -> None:
    _, repeat = made_and_repeated
    floor = repeat()
    for instance in objects(floor).values():
        if isinstance(instance, models.Model):
            stored = type(instance)._base_manager.get(pk=instance.pk)
            values = {field.attname: getattr(instance, field.attname) for field in instance._meta.concrete_fields}
            assert values == {field.attname: getattr(stored, field.attname) for field in instance._meta.concrete_fields}
            assert (instance._state.adding, instance._state.db) == (False, "default")
    assert floor.saw_2.shop is floor.cast.shop
    assert floor.far_saw.shop is floor.cast.stranger_section.shop


def test_two_tests_have_no_object_in_common(db: None) -> None:
    def parts(floor: Floor) -> list[Any]:
        whole = objects(floor).values()
        return [
            *whole,
            *(part for instance in whole for part in vars(instance).values() if isinstance(part, list | dict)),
        ]

    both = []
    for _ in range(2):
        with undone():
            both.append(make_floor(make_cast()))
    first_parts, second_parts = map(parts, both)
    assert len(first_parts) == len(second_parts) > 40
    assert not {id(part) for part in first_parts} & {id(part) for part in second_parts}


def test_changes_in_a_test_do_not_reach_the_next_test(db: None) -> None:
    with undone():
        first = make_floor(make_cast())
        name = first.cast.student.name
        first.saw.pre_use.append("Something else")
        Person.objects.filter(pk=first.cast.student.pk).update(name="Someone Else")
        first.cast.student.refresh_from_db()
    second = make_floor(make_cast())
    assert (second.cast.student.name, "Something else" in second.saw.pre_use) == (name, False)
    assert Person.objects.get(pk=second.cast.student.pk).name == name


@pytest.mark.parametrize("time", ["first", "second"])
@pytest.mark.django_db(transaction=True)
def test_stands_in_a_database_that_was_emptied(cast: Cast, floor: Floor, time: str) -> None:
    assert School.objects.count() == 2
    more_stands_beside(cast, floor)


def test_more_stands_beside_it(cast: Cast, floor: Floor) -> None:
    more_stands_beside(cast, floor)


def more_stands_beside(cast: Cast, floor: Floor) -> None:
    """The factories go on with other names, the database with other keys."""
    EnrollmentFactory(section=cast.section)
    TeacherFactory(school=cast.school)
    MachineFactory(shop=cast.shop, kind=floor.saw)
    another = make_floor(make_cast())
    theirs, ours = ({(type(o), o.pk) for o in objects(f).values() if hasattr(o, "pk")} for f in (another, floor))
    assert not theirs & ours
    connection.check_constraints()


def test_fixture_is_made_again_when_the_database_differs(db: None) -> None:
    own = kept(make_cast.__wrapped__)
    with undone():
        own()
        SchoolFactory()
        own()  # remembered for both grounds
    TeacherFactory()
    asked = SchoolFactory._meta.next_sequence()
    first = own()
    assert SchoolFactory._meta.next_sequence() == asked + 3, "the factories were not asked"
    assert first.school.pk != own().school.pk
    assert School.objects.count() == 5


def test_as_many_rows_with_later_keys_are_other_ground(db: None) -> None:
    own = kept(make_cast.__wrapped__)
    with undone():
        SchoolFactory()
        own()
    SchoolFactory().delete()
    SchoolFactory()  # has the key that the first of the kept ones had
    own()
    assert School.objects.count() == 3


def test_a_making_that_changes_what_was_there_is_not_kept(cast: Cast) -> None:
    @kept
    def rename(cast: Cast) -> None:
        School.objects.update(time_zone="America/Denver")

    with pytest.raises(AssertionError, match="School"):
        rename(cast)


def test_changeable_arguments_cannot_be_remembered(cast: Cast) -> None:
    with pytest.raises(TypeError, match="'lathe'"):
        kept(lambda codes: codes)(["lathe"])


def test_fixture_is_made_again_for_other_arguments(cast: Cast) -> None:
    own = kept(published.__wrapped__)
    both = bank_text(code="lathe"), bank_text(code="lathe", rules=4)
    for text in both * 2:
        with undone():
            bank = own(cast.teacher, text)
            assert text_of(bank.editions.get()).bank == text
            assert draft_of(bank).bank == text
