"""How the lines of a report read, on its page and on paper."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from machines.incidents.facts import FactLine, OwnPart, ReportText
from shopsafe.language.messages import _, counted, marked

OPEN = marked("Not filled in")


@dataclass(frozen=True, slots=True)
class HurtPerson:
    """One person who was concerned. `hurt`: how badly, in words."""

    name: str
    hurt: str
    own: OwnPart


@dataclass(frozen=True, slots=True)
class ReportPeople:
    """The people of a report whom its reader may see. `others`: how many more students saw it."""

    concerned: Sequence[HurtPerson]
    students: Sequence[str]
    witnesses: Sequence[str]
    others: int


def report_lines(text: ReportText, machine: str, people: ReportPeople, informed: Sequence[str]) -> Iterator[FactLine]:
    """`informed`: a sentence for each person who was informed."""
    yield FactLine(_("Machine"), machine or (_("No machine") if text.no_machine else _(OPEN)))
    yield FactLine(_("Who"), ", ".join([*people.students, *filter(None, [text.other_person])]) or _("No one"))
    yield FactLine(_("Doing what"), ": ".join(filter(None, [_capital(_(text.doing)) or _(OPEN), text.doing_words])))
    yield FactLine(_("What happened"), text.words or _(OPEN))
    for person in people.concerned:
        yield from _hurt(person, len(people.concerned) > 1)
    yield FactLine(_("Who was informed"), "\n".join(informed) or (_("No one yet") if text.nobody_informed else _(OPEN)))
    if saw_it := "\n".join(filter(None, [_witnesses(people), text.witness_words])):
        yield FactLine(_("Who saw it"), saw_it)


def _hurt(person: HurtPerson, one_of_several: bool) -> Iterator[FactLine]:
    label = _("Hurt: {person}", person=person.name) if one_of_several else _("Hurt")
    yield FactLine(label, ". ".join(filter(None, [person.hurt or _(OPEN), person.own.body])))
    aid = ", ".join(filter(None, [*map(_, person.own.aid), person.own.aid_words]))
    if aid:
        yield FactLine(_("First aid"), _capital(aid))


def _witnesses(people: ReportPeople) -> str:
    names = ", ".join(people.witnesses)
    if not people.others:
        return names
    others = counted("{count} student of other classes", "{count} students of other classes", count=people.others)
    return _("{names} and {others}", names=names, others=others) if names else others


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
