"""The answers to a list: which lines are missing, and which are faults."""

from collections.abc import Iterable, Mapping, Sequence

from machines.reports.facts import GivenAnswer, LineAnswer


def unanswered(lines: Sequence[str], answers: Mapping[int, LineAnswer]) -> list[str]:
    """The lines without an answer, in the order of the list."""
    return [line for place, line in enumerate(lines) if place not in answers]


def faults_of(lines: Sequence[str], answers: Iterable[GivenAnswer]) -> list[str]:
    """The lines that are answered no, in the order of the list."""
    no = {given.line for given in answers if given.answer is LineAnswer.NO}
    return [line for place, line in enumerate(lines) if place in no]
