"""What is still to be filled in before a report is complete. Only who was concerned is asked at first."""

from collections.abc import Iterator, Mapping

from machines.incidents.facts import INJURIES, SOMETHING_ELSE, OwnPart, ReportText
from shopsafe.language.messages import _


def missing(text: ReportText, own: Mapping[str, OwnPart], *, has_machine: bool) -> list[str]:
    """The parts without an answer, as the form names them. `own`: the name of each person concerned → their part."""
    return [*_of_text(text, has_machine=has_machine), *(part for name in own for part in _of_person(name, own[name]))]


def _of_text(text: ReportText, *, has_machine: bool) -> Iterator[str]:
    if not has_machine and not text.no_machine:
        yield _("Machine")
    if not text.doing or (text.doing == SOMETHING_ELSE and not text.doing_words):
        yield _("Doing what")
    if not text.words:
        yield _("What happened")
    if not text.informed and not text.nobody_informed:
        yield _("Who was informed")


def _of_person(name: str, own: OwnPart) -> Iterator[str]:
    if not own.hurt:
        yield _of(_("Hurt"), name)
    if own.hurt in INJURIES:
        if not own.body:
            yield _of(_("Where on the body"), name)
        if not own.aid and not own.aid_words:
            yield _of(_("First aid"), name)


def _of(part: str, name: str) -> str:
    """ "Hurt", or "Hurt (Gus P.)" where several are concerned."""
    return _("{part} ({person})", part=part, person=name) if name else part
