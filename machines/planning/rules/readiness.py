"""Which students a demonstration can be planned for: those who need nothing but sign-offs, in the right order."""

from collections.abc import Iterable, Mapping

from machines.clearance.facts import ClearanceResult, GapCode, MachineRequirements
from machines.clearance.rules.evaluation import CLOSED_BY_SIGN_OFF
from machines.planning.facts import Readiness

CAN_BE_PLANNED = CLOSED_BY_SIGN_OFF | {GapCode.OTHER_MACHINE}


def readiness_of(
    students: Iterable[int],
    requirements: Mapping[int, MachineRequirements],
    answers: Mapping[tuple[int, int], ClearanceResult],
    demonstration_of: Mapping[int, int],
) -> list[Readiness]:
    """The pairs that can be planned. `answers` covers these students, and the machines that the requirements name.

    demonstration_of   machine → the demonstration it is signed off by, which has the key of one of its machines
    """
    places = sorted(set(demonstration_of.values()))
    rows = []
    for student in students:
        for place in places:
            after = _after(student, requirements[place], answers, demonstration_of)
            if after is not None:
                rows.append(Readiness(student, place, after))
    return rows


def _after(
    student: int,
    asked: MachineRequirements,
    answers: Mapping[tuple[int, int], ClearanceResult],
    demonstration_of: Mapping[int, int],
) -> tuple[tuple[int, ...], ...] | None:
    """The groups of demonstrations to be signed off earlier in the plan; None where more than sign-offs is missing."""
    answer = answers[student, asked.machine]
    codes = {reason.code for reason in answer.reasons}
    if answer.cleared or not codes <= CAN_BE_PLANNED:
        return None
    groups = []
    for first in asked.first:
        if any(
            answers[student, other.machine].cleared for other in first.one_of if (student, other.machine) in answers
        ):
            continue
        places = {demonstration_of[other.machine] for other in first.one_of if other.machine in demonstration_of}
        if not places:  # a machine of another shop: no demonstration here opens this machine
            return None
        groups.append(tuple(sorted(places)))
    return tuple(groups)


def why_not_ready(answer: ClearanceResult) -> str:
    """The first thing that is missing, in words for the teacher."""
    return answer.reasons[0].for_staff if answer.reasons else ""
