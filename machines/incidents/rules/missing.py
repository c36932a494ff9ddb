"""What is still to be filled in before a report is complete. Only who was concerned is asked at first."""

from collections.abc import Iterator, Mapping

from machines.incidents.facts import INJURIES, OwnPart, ReportText


def missing(text: ReportText, own: Mapping[str, OwnPart], *, has_machine: bool) -> list[str]:
    """The parts without an answer, as the form names them. `own`: the name of each person concerned → their part."""
    return [*_of_text(text, has_machine=has_machine), *(part for name in own for part in _of_person(name, own[name]))]


def _of_text(text: ReportText, *, has_machine: bool) -> Iterator[str]:
    if not has_machine and not text.no_machine:
        yield "Machine"
    if not text.doing or (text.doing == "something else" and not text.doing_words):
        yield "Doing what"
    if not text.words:
        yield "What happened"
    if not text.informed and not text.nobody_informed:
        yield "Who was informed"


def _of_person(name: str, own: OwnPart) -> Iterator[str]:
    of = f" ({name})" if name else ""
    if not own.hurt:
        yield f"Hurt{of}"
    if own.hurt in INJURIES:
        if not own.body:
            yield f"Where on the body{of}"
        if not own.aid and not own.aid_words:
            yield f"First aid{of}"
