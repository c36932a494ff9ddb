"""Classes and shops in the order in which people count, people in the order of the names as displayed."""

from types import SimpleNamespace

import pytest

from shopsafe.school.naming.rules.names import sort_key
from shopsafe.school.naming.rules.ordering import by_shown_name, in_order, number_key, people_in_order


@pytest.mark.parametrize(
    "names",
    [
        ["Period 1", "Period 2", "Period 7", "Period 10", "Period 11"],
        ["Period 3, Grade 7 Wood", "Period 3, Grade 10 Wood", "Period 10, Grade 7 Wood"],
        ["7A", "7B", "8A", "10A", "10B"],
        ["Room W2", "Room W10", "Room X1"],
        ["Électricité 1", "Electricite 2", "éLECTRICITÉ 10"],
        ["", "9", "10", "A"],
        ["Period 3", "Period 3 B", "Period 3C"],
    ],
)
def test_numbers_count_as_numbers_and_accents_and_case_do_not_count(names: list[str]) -> None:
    backwards = names[::-1]
    assert sorted(backwards, key=number_key) == names


def test_two_of_one_name_keep_the_older_first() -> None:
    rows = [SimpleNamespace(pk=pk, name=name) for pk, name in ((4, "Period 10"), (9, "Period 7"), (3, "Period 7"))]
    assert [row.pk for row in in_order(rows)] == [3, 9, 4]


def test_people_are_ordered_by_first_name_without_case_and_accents() -> None:
    people = [SimpleNamespace(pk=pk, name=name) for pk, name in enumerate(["Lior B", "Łukasz A", "élan M", "Ada Z"])]
    for person in people:
        person.sort_key = sort_key(person.name)
    assert [person.name for person in people_in_order(people)] == ["Ada Z", "élan M", "Lior B", "Łukasz A"]


def test_people_are_ordered_by_the_form_that_is_shown_and_then_by_age() -> None:
    people = [SimpleNamespace(pk=pk, sort_key="") for pk in (7, 3, 5)]
    names = {7: "Ada K.", 3: "Zoe M.", 5: "Ada K."}
    assert [person.pk for person in by_shown_name(people, names)] == [5, 7, 3]
