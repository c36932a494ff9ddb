"""Entries of the logbook about students of one name, distinguished where they are read. The record stays as it is."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from shopsafe.logbook import sentences
from shopsafe.logbook.queries import EntryLine
from shopsafe.logbook.rules import subjects
from shopsafe.school.access import STUDENT, in_school
from shopsafe.school.models import Person
from shopsafe.school.naming.name_labels import name_of


def with_name_labels(reader: Person, lines: Sequence[EntryLine]) -> list[EntryLine]:
    """The lines, each naming a student whom another of the school is named like with the mark used on paper."""
    marks = _marks(reader, {pk for line in lines for pk in _people(line.payload)})
    return [_marked(line, marks) if marks.keys() & _people(line.payload) else line for line in lines]


def _marks(reader: Person, people: set[int]) -> dict[int, str]:
    """Student → what tells them from the others of the same name."""
    students = in_school(Person.objects.filter(role=STUDENT), reader)
    same = list(students.filter(name__in=students.filter(pk__in=people).values("name")))
    times = Counter(student.name for student in same)
    return {student.pk: name_of(student).mark for student in same if times[student.name] > 1 and name_of(student).mark}


def _people(payload: Mapping[str, Any] | None) -> set[int]:
    return {
        reference["id"]
        for role, reference in subjects.names(dict(payload or {}))
        if role in subjects.PEOPLE and "id" in reference
    }


def _marked(line: EntryLine, marks: Mapping[int, str]) -> EntryLine:
    """The same with another sentence; what the entry holds is shown as it was written."""

    def mark(role: str, value: Any) -> Any:
        if isinstance(value, list):
            return [mark(role, item) for item in value]
        if role in subjects.PEOPLE and isinstance(value, dict) and value.get("id") in marks:
            return value | {"name": f"{value['name']} ({marks[value['id']]})"}
        return value

    payload = {role: mark(role, value) for role, value in (line.payload or {}).items()}
    return replace(line, sentence=sentences.sentence(line.kind, payload))
