"""Taking a class list over: so many statements for three students as for sixty, by keys that an index finds."""

import random
from uuid import uuid4

import pytest

from shopsafe.school.models import Person
from shopsafe.school.naming.rules import names
from shopsafe.school.rosters.acts import import_roster
from shopsafe.school.rosters.rules import read_pasted
from tests.cast import Cast
from tests.counting import queries, scans
from tests.factories.people import PersonFactory

MOST_QUERIES = 20


def imported(cast: Cast, count: int, first: int) -> int:
    text = "Name,ID\n" + "".join(f"Uma Lund,{first + number}\n" for number in range(count))
    with queries() as sent:
        done = import_roster(section=cast.section, sheet=read_pasted(text), key=uuid4(), by=cast.teacher)
    assert done.added == count
    return len([sql for sql in sent if not sql.startswith(("SAVEPOINT", "RELEASE", "BEGIN"))])


def test_query_count_is_the_same_for_few_students_and_many(cast: Cast) -> None:
    few = imported(cast, 3, 100)
    assert imported(cast, 60, 200) <= few + 1 <= MOST_QUERIES  # one more look for names that are free


def one_by_one(names_read: list[str], taken: set[str]) -> list[str]:
    """By definition: the name, or the name and the first number from 2, whose key no one has yet."""
    taken, given = set(taken), []
    for name in names_read:
        candidates = [name, *(f"{name} {number}" for number in range(2, 999))]
        key = names.sign_in_key(name) or "person"
        keys = [key, *(f"{key}{number}" for number in range(2, 999))]
        place = next(place for place, key in enumerate(keys) if key not in taken)
        taken.add(keys[place])
        given.append(candidates[place])
    return given


@pytest.mark.parametrize("seed", range(5))
def test_names_given_at_once_are_those_given_one_by_one(cast: Cast, seed: int) -> None:
    dice = random.Random(seed)
    choices = ["Sam", "Sam 2", "Sam 22", "SAM", "Samira", "Ö", "Zoë 1"]
    for name in dice.choices(choices, k=25):
        PersonFactory(school=cast.stranger_school, name=name)
    names_read = dice.choices(choices, k=12)
    taken = set(Person.objects.values_list("sign_in_key", flat=True))
    assert Person.objects.free_names(names_read) == one_by_one(names_read, taken)


def test_free_names_are_looked_up_by_their_keys(cast: Cast) -> None:
    with queries() as sent:
        Person.objects.free_names(["Uma Lund"])
    (statement,) = sent
    assert scans(statement, ["x"] * (statement.count("%s") - 1) + [0]) == []
