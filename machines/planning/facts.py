"""Facts for the plan and the rota of one shop period, and the answers of both rules. Frozen values, no database.

Keys are those of the caller's records. Minutes are whole. A slot is counted from 0.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import NamedTuple

LARGEST_GROUP = 6  # a teacher can watch so many students at one machine: common practice


class ProblemCode(StrEnum):
    """What is wrong with a line that a teacher set by hand. The rule never makes such a line itself."""

    AWAY = "student.away"
    NOT_READY = "student.not-ready"
    NOT_CLEARED = "student.not-cleared"
    TWO_PLACES = "student.two-places"
    TWICE = "student.twice"
    NEEDS_FIRST = "student.needs-first"
    OUT_OF_SERVICE = "machine.out-of-service"
    TAKEN = "machine.taken"
    NO_HELPER = "helper.missing"
    HELPER_NOT_CLEARED = "helper.not-cleared"
    GROUP_FULL = "group.full"
    GROUP_EMPTY = "group.empty"
    NO_SUCH_SLOT = "slot.unknown"
    OVER_TIME = "minutes.over"


@dataclass(frozen=True, slots=True)
class MoveProblem:
    """One thing wrong with a plan or a rota, in words for the teacher. `place` is a demonstration or a machine."""

    code: ProblemCode
    sentence: str
    student: int | None = None
    place: int | None = None
    slot: int | None = None


@dataclass(frozen=True, slots=True)
class Proof:
    """How sure it is that no better answer exists.

    proven   the search ended: nothing better exists
    gap      share by which students and sign-offs (plan) or turns and fairness (rota) could still be better: 0 where
             proven, and None where the time ran out before the solver had any bound. With a gap of 0 and no proof, only
             the choice among equals was cut short.
    more     so many students with a new machine (plan) or turns (rota) could be added at most
    words    the same as a sentence for the page
    """

    proven: bool
    gap: float | None
    more: int
    words: str


# --- the plan of demonstrations ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Demonstration:
    """A demonstration that the teacher can hold this period, on one machine or once for a machine type.

    name          inside a sentence: "band saw 2"
    minutes       for one group, whatever its size; `minutes_each` for every student in it besides
    group_size    at most so many students at a time
    in_service    False while the machine is tagged out or kept off: nothing is planned there
    """

    key: int
    name: str
    minutes: int
    minutes_each: int = 0
    group_size: int = LARGEST_GROUP
    in_service: bool = True


@dataclass(frozen=True, slots=True)
class PlanStudent:
    """A student of the class. `machines` counts those the student is cleared on already; `here` is about today."""

    key: int
    name: str
    machines: int = 0
    here: bool = True


@dataclass(frozen=True, slots=True)
class Readiness:
    """A student who needs nothing but sign-offs for a new machine.

    after   groups of demonstrations: from each group the student needs one signed off earlier in the same plan.
            Empty for a student who is ready for sign-off now.

    A student without a `Readiness` for a demonstration can't be planned there: no demonstration ends a hold
    or replaces a missing quiz or agreement.
    """

    student: int
    demonstration: int
    after: tuple[tuple[int, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class PlanFacts:
    """Everything the plan of one period depends on. `why_not` holds clearance's words for (student, demonstration)."""

    minutes: int
    students: tuple[PlanStudent, ...]
    demonstrations: tuple[Demonstration, ...]
    readiness: tuple[Readiness, ...]
    why_not: Mapping[tuple[int, int], str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class PlanMoves:
    """What the teacher settled by hand, as (student, demonstration): to be in the plan, or to stay out of it."""

    fixed: frozenset[tuple[int, int]] = frozenset()
    barred: frozenset[tuple[int, int]] = frozenset()


class GroupChoice(NamedTuple):
    """One group at one demonstration, as the teacher or the rule set it."""

    demonstration: int
    students: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class PlanLine:
    """One group at one demonstration: `starts` is the minute of the period; `fixed` are the students set by hand."""

    demonstration: int
    students: tuple[int, ...]
    starts: int
    minutes: int
    reasons: tuple[str, ...] = ()
    fixed: frozenset[int] = frozenset()


class LeftOut(NamedTuple):
    """A student without a place in the plan, or in one slot of the rota, and why."""

    student: int
    sentence: str
    slot: int | None = None


@dataclass(frozen=True, slots=True)
class DemonstrationPlan:
    """The lines in order. `students` get a new machine, `sign_offs` in all, in `minutes` of the period."""

    lines: tuple[PlanLine, ...]
    students: int
    sign_offs: int
    minutes: int
    left_out: tuple[LeftOut, ...]
    problems: tuple[MoveProblem, ...]
    proof: Proof


# --- the rota of machines ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class RotaMachine:
    """A machine. `helpers`: how many the machine type asks for at each run (a spotter, an outfeed helper).

    slots   those in which the machine may run; None for all. `in_service` False: in none.
    """

    key: int
    name: str
    helpers: int = 0
    in_service: bool = True
    slots: frozenset[int] | None = None

    def runs_in(self, slot: int) -> bool:
        return self.in_service and (self.slots is None or slot in self.slots)


@dataclass(frozen=True, slots=True)
class RotaStudent:
    """A student. `minutes`: machine time this term so far. `slots`: when the student is here; None for all slots."""

    key: int
    name: str
    minutes: int = 0
    here: bool = True
    slots: frozenset[int] | None = None

    def is_here_in(self, slot: int) -> bool:
        return self.here and (self.slots is None or slot in self.slots)


@dataclass(frozen=True, slots=True)
class RotaFacts:
    """Everything the rota of one period depends on.

    cleared      (student, machine) who may run it, by clearance at this moment
    may_help     (student, machine) who may help there, as the machine type asks
    minutes_at   (student, machine) → the student's minutes at that machine this term; missing is 0
    why_not      (student, machine) → clearance's words
    """

    slots: int
    slot_minutes: int
    students: tuple[RotaStudent, ...]
    machines: tuple[RotaMachine, ...]
    cleared: frozenset[tuple[int, int]]
    may_help: frozenset[tuple[int, int]] = frozenset()
    minutes_at: Mapping[tuple[int, int], int] = field(default_factory=dict)
    why_not: Mapping[tuple[int, int], str] = field(default_factory=dict)


class Seat(NamedTuple):
    """One student at one machine in one slot."""

    slot: int
    machine: int
    student: int


@dataclass(frozen=True, slots=True)
class RotaMoves:
    """What the teacher settled by hand: seats to be kept, and seats not to be given."""

    fixed: frozenset[Seat] = frozenset()
    barred: frozenset[Seat] = frozenset()


class SeatChoice(NamedTuple):
    """A seat with its helpers, as the teacher or the rule set it."""

    seat: Seat
    helpers: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class RotaLine:
    """A seat with its helpers and the reasons for it. `fixed`: the teacher set it by hand."""

    seat: Seat
    helpers: tuple[int, ...] = ()
    reasons: tuple[str, ...] = ()
    fixed: bool = False


class EmptyMachine(NamedTuple):
    """A machine that no one uses in a slot, and why."""

    slot: int
    machine: int
    sentence: str


@dataclass(frozen=True, slots=True)
class Rota:
    """The lines by slot and machine; who has no machine in a slot, and which machines stay empty."""

    lines: tuple[RotaLine, ...]
    left_out: tuple[LeftOut, ...]
    empty: tuple[EmptyMachine, ...]
    problems: tuple[MoveProblem, ...]
    proof: Proof
