"""How the lines of a report read, on its page and on paper."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from machines.incidents.facts import FactLine, OwnPart, ReportText

OPEN = "Not filled in"


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
    yield FactLine("Machine", machine or ("No machine" if text.no_machine else OPEN))
    yield FactLine("Who", ", ".join([*people.students, *filter(None, [text.other_person])]) or "No one")
    yield FactLine("Doing what", ": ".join(filter(None, [_capital(text.doing) or OPEN, text.doing_words])))
    yield FactLine("What happened", text.words or OPEN)
    for person in people.concerned:
        yield from _hurt(person, len(people.concerned) > 1)
    yield FactLine("Who was informed", "\n".join(informed) or ("No one yet" if text.nobody_informed else OPEN))
    if saw_it := "\n".join(filter(None, [_witnesses(people), text.witness_words])):
        yield FactLine("Who saw it", saw_it)


def _hurt(person: HurtPerson, one_of_several: bool) -> Iterator[FactLine]:
    label = f"Hurt: {person.name}" if one_of_several else "Hurt"
    yield FactLine(label, ". ".join(filter(None, [person.hurt or OPEN, person.own.body])))
    aid = ", ".join(filter(None, [*person.own.aid, person.own.aid_words]))
    if aid:
        yield FactLine("First aid", _capital(aid))


def _witnesses(people: ReportPeople) -> str:
    others = f"{people.others} student{'s' if people.others > 1 else ''} of other classes" if people.others else ""
    return " and ".join(filter(None, [", ".join(people.witnesses), others]))


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
