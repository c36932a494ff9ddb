"""Classes and shops in the order in which people count."""

from types import SimpleNamespace

import pytest

from shopsafe.school.naming.rules.ordering import in_order, number_key


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
