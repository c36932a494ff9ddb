"""Starter shops, and the numbers of new machines."""

import re
from pathlib import Path

import pytest

from machines.setting_up.rules.starter_shops import (
    NewRow,
    free_numbers,
    number_clashes,
    read_starter_shops,
    rows_for,
    wrong_number,
)

SHELF = Path(__file__).parents[3] / "fixtures" / "shelf"


def test_starter_shops_hold_only_kinds_that_the_shelf_describes() -> None:
    shops = read_starter_shops((SHELF / "starter-shops.toml").read_text(encoding="utf-8"))
    text = "".join(path.read_text(encoding="utf-8") for path in SHELF.glob("*.toml"))
    described = set(re.findall(r'^\[machine\]\ncode = "([^"]+)"', text, re.MULTILINE))
    assert [shop.code for shop in shops] == ["small-wood", "technology-lab", "metal", "full-wood-and-metal"]
    for shop in shops:
        assert set(shop.machines) <= described, shop.name


@pytest.mark.parametrize(
    "text",
    [
        "",
        '[[shop]]\ncode = "a"',
        '[[shop]]\ncode = "a"\nname = "A"\nabout = ""\nmachines = {}',
        '[[shop]]\ncode = "a"\nname = "A"\nabout = ""\nmachines = { saw = 0 }',
        '[[shop]]\ncode = "a"\nname = "A"\nabout = ""\nmachines = { saw = 1 }\nmore = 1',
    ],
)
def test_a_shop_that_is_not_whole_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"shop|count"):
        read_starter_shops(text)


def test_new_machines_go_on_after_the_highest_number() -> None:
    assert free_numbers([], 3) == [1, 2, 3]
    assert free_numbers([2, 7], 2) == [8, 9]
    assert free_numbers([5], 0) == []


@pytest.mark.parametrize(
    ("numbers", "taken", "wrong"),
    [([1, 2], [3], None), ([1, 1], [], 1), ([1, 3], [3], 3), ([0], [], 0), ([999, 1000], [], 1000), ([], [1], None)],
)
def test_the_first_number_that_can_not_be_given(numbers: list[int], taken: list[int], wrong: int | None) -> None:
    assert wrong_number(numbers, taken) == wrong


SAW, DRILL = 1, 2
TALL, LEFT = NewRow(SAW, "31", "Tall saw"), NewRow(DRILL, "7", "By the door")


@pytest.mark.parametrize(
    ("kinds", "typed", "rows"),
    [
        ([SAW, DRILL], [], [NewRow(SAW, "6"), NewRow(DRILL, "7")]),
        ([SAW, DRILL], [TALL, LEFT], [TALL, LEFT]),
        ([SAW, SAW], [TALL, LEFT], [TALL, NewRow(SAW, "32")]),
        ([DRILL], [TALL, LEFT], [LEFT]),
        ([SAW, SAW], [TALL, TALL], [TALL, TALL]),
        ([SAW, SAW], [NewRow(SAW, "x")], [NewRow(SAW, "x"), NewRow(SAW, "6")]),
        ([], [TALL], []),
    ],
)
def test_typed_number_and_name_stay_with_their_machine_type(
    kinds: list[int], typed: list[NewRow], rows: list[NewRow]
) -> None:
    assert rows_for(kinds, typed, {5}) == rows


@pytest.mark.parametrize(
    ("numbers", "taken", "wrong"),
    [
        ([1, 2], [3], {}),
        ([1, 2, 1], [], {0: "twice", 2: "twice"}),
        ([1, 2], [2], {1: "taken"}),
        ([2, 2], [2], {0: "taken", 1: "taken"}),
    ],
)
def test_each_place_with_anothers_number_is_named(numbers: list[int], taken: list[int], wrong: dict[int, str]) -> None:
    assert number_clashes(numbers, taken) == wrong
