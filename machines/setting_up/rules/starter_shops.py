"""Shops to begin with: which kinds of machine, and how many. Rules: no Django, no clock."""

import tomllib
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

MOST_OF_A_KIND = 30
LAST_NUMBER = 999


@dataclass(frozen=True)
class StarterShop:
    """`machines`: the code of a kind → how many."""

    code: str
    name: str
    about: str
    machines: Mapping[str, int]

    @property
    def count(self) -> int:
        return sum(self.machines.values())


def read_starter_shops(text: str) -> tuple[StarterShop, ...]:
    """The shops of a starter file, in its order. Raises ValueError for one that is not whole."""
    try:
        shops = tuple(StarterShop(**table) for table in tomllib.loads(text)["shop"])
    except (KeyError, TypeError) as error:
        raise ValueError(f"a starter shop lacks something, or has too much: {error}") from error
    for shop in shops:
        if not shop.machines or any(not 1 <= count <= MOST_OF_A_KIND for count in shop.machines.values()):
            raise ValueError(f"{shop.code}: give each kind of machine a count from 1 to {MOST_OF_A_KIND}")
    return shops


def free_numbers(taken: Collection[int], count: int) -> list[int]:
    """The next numbers for `count` new machines: after the highest that is taken, as they are painted on."""
    first = max(taken, default=0) + 1
    return list(range(first, first + count))


@dataclass(frozen=True)
class NewRow:
    """A machine to be as its row says: the key of its kind; number and name as typed."""

    kind: int
    number: str
    name: str = ""


def rows_for(kinds: Sequence[int], typed: Sequence[NewRow], taken: Collection[int]) -> list[NewRow]:
    """A row for each of `kinds`. What was typed for a kind stays with it; a row more gets the next free number."""
    left = list(typed)
    kept: list[NewRow | None] = []
    for kind in kinds:
        row = next((row for row in left if row.kind == kind), None)
        kept.append(row)
        if row is not None:
            left.remove(row)
    used = {int(row.number) for row in kept if row and row.number.isascii() and row.number.isdigit()}
    free = iter(free_numbers({*taken, *used}, len(kinds)))
    return [row or NewRow(kind, str(next(free))) for kind, row in zip(kinds, kept, strict=True)]


def number_clashes(numbers: Sequence[int], taken: Collection[int]) -> dict[int, str]:
    """Place in `numbers` → "taken" where the number is another machine's, "twice" where another place has it too."""
    wrong = {place: "twice" for place, number in enumerate(numbers) if numbers.count(number) > 1}
    return wrong | {place: "taken" for place, number in enumerate(numbers) if number in taken}


def wrong_number(numbers: Collection[int], taken: Collection[int]) -> int | None:
    """The first number that can't be given: taken already, given twice, or not from 1 to 999; None if all can."""
    seen = set(taken)
    for number in numbers:
        if number in seen or not 1 <= number <= LAST_NUMBER:
            return number
        seen.add(number)
    return None
