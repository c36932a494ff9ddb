"""What a teacher set by hand in a plan or a rotation, as it is in the page's address: nothing is stored.

A plan's move is `student-demonstration`, a rotation's `slot-machine-student`, slots from 0.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from django.http import QueryDict

from machines.planning.facts import PlanMoves, RotaMoves, Seat

MOST = 200  # moves that an address may carry
NUMBER = r"\d{1,9}"
PAIR = re.compile(rf"({NUMBER})-({NUMBER})")
SEAT = re.compile(rf"({NUMBER})-({NUMBER})-({NUMBER})")


@dataclass(frozen=True)
class Moves:
    """`keep` and `bar` as they came, in their order, without what can't be read."""

    keep: tuple[str, ...]
    bar: tuple[str, ...]

    @property
    def for_plan(self) -> PlanMoves:
        return PlanMoves(frozenset(_pairs(self.keep)), frozenset(_pairs(self.bar)))

    @property
    def for_rota(self) -> RotaMoves:
        return RotaMoves(frozenset(_seats(self.keep)), frozenset(_seats(self.bar)))

    def address(self, asked: dict[str, int], *, keep: str = "", bar: str = "", without: str = "") -> str:
        """The query of the same page with one more move, or without one."""
        query = QueryDict(mutable=True)
        query.update({name: str(number) for name, number in asked.items()})
        query.setlist("keep", _changed(self.keep, keep, {bar, without}))
        query.setlist("bar", _changed(self.bar, bar, {keep, without}))
        return f"?{query.urlencode()}"


def moves_in(query: QueryDict) -> Moves:
    return Moves(*(tuple(query.getlist(name)[:MOST]) for name in ("keep", "bar")))


def _pairs(moves: Iterable[str]) -> list[tuple[int, int]]:
    return [(int(match[1]), int(match[2])) for match in map(PAIR.fullmatch, moves) if match]


def _seats(moves: Iterable[str]) -> list[Seat]:
    return [Seat(int(match[1]), int(match[2]), int(match[3])) for match in map(SEAT.fullmatch, moves) if match]


def _changed(moves: tuple[str, ...], added: str, removed: set[str]) -> list[str]:
    return [*(move for move in moves if move not in removed and move != added), *([added] if added else [])]
