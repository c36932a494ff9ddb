"""Whom and what a report can name: the students of the shop's classes and its machines, and how a form begins."""

from collections.abc import Iterator
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.http import QueryDict

from machines.clearance.queries import machines_of
from machines.incidents.facts import OwnPart, ReportText, own_of
from machines.incidents.forms import NO_MACHINE, STORED_WHOM, GroupOfStudents, ReportForm
from machines.incidents.queries import WrittenReport
from machines.models import Machine, Run
from shopsafe.language.messages import _
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Person, Section, Shop
from shopsafe.school.naming.name_labels import short_names_of
from shopsafe.school.naming.rules.ordering import by_shown_name
from shopsafe.school.people.classes import enrolled, running_sections


def classes_in(shop: Shop, reader: Person, at: datetime, first: str = "") -> list[GroupOfStudents]:
    """The running classes of a shop in their usual order, `first` (a class's key) before all. Each student once."""
    sections = [row for row in running_sections(reader, local_day(at, shop.school.time_zone)) if row.shop_id == shop.pk]
    sections.sort(key=lambda section: str(section.pk) != first)
    in_class = enrolled(sections, at)
    students = {student.pk: student for people in in_class.values() for student in people}
    names, machines = (
        short_names_of(students.values()),
        dict(pair for pair in _at_machines(shop) if pair[0] in students),
    )
    groups = [
        GroupOfStudents(_("At the machines now"), [(students[pk], f"{names[pk]}, {machines[pk]}") for pk in machines])
    ]
    seen = set(machines)
    for section in sections:
        people = [student for student in in_class[section.pk] if student.pk not in seen]
        seen |= {student.pk for student in people}
        groups.append(_group(section, people, names))
    return [group for group in groups if group.students]


def _at_machines(shop: Shop) -> Iterator[tuple[int, str]]:
    """(student, machine) of the open runs, by the number of the machine: a hurt person is probably one of them."""
    rows = Run.objects.filter(machine__shop=shop, ended_at=None).select_related("machine__kind")
    for run in rows.order_by("machine__number"):
        yield run.student_id, run.machine.spoken


def _group(section: Section, people: list[Person], names: dict[int, str]) -> GroupOfStudents:
    named = [(student, names[student.pk]) for student in by_shown_name(people, names)]
    return GroupOfStudents(section.name, named)


def with_people(groups: list[GroupOfStudents], people: list[Person]) -> list[GroupOfStudents]:
    """The groups, and first those of `people` who are in none of them, such as a student who left the class."""
    in_groups = {student.pk for group in groups for student, _ in group.students}
    more = [(student, student.short_name) for student in people if student.pk not in in_groups]
    return [GroupOfStudents(_("In the report"), more), *groups] if more else groups


def form_to_open(data: Any, query: QueryDict, shop: Shop, reader: Person, at: datetime) -> ReportForm:
    """A new report. `?machine=`, `?student=` and `?class=` of the query choose what is known already."""
    machines = machines_of(shop.pk, at)
    initial = {
        "sort": query.get("sort", "incident"),
        "machine": query.get("machine", ""),
        "who": query.getlist("student"),
        **_hour(at, shop),
    }
    classes = classes_in(shop, reader, at, query.get("class", ""))
    return ReportForm(data, classes=classes, machines=machines, zone=shop.school.time_zone, initial=initial)


def form_to_go_on(data: Any, report: WrittenReport, reader: Person, at: datetime) -> ReportForm:
    """The report as it is, to go on with."""
    shop, version = report.incident.shop, report.version
    people = [*report.concerned, *report.witnesses]
    classes = with_people(classes_in(shop, reader, at), people)
    machines = machines_of(shop.pk, at)
    if version.machine and version.machine not in machines:
        machines = [*machines, version.machine]  # it has left the shop since
    return ReportForm(
        data,
        classes=classes,
        machines=machines,
        zone=shop.school.time_zone,
        persons=_persons(report),
        stored_moment=version.happened_at,
        initial=_initial(report, shop, version.machine),
    )


def _persons(report: WrittenReport) -> dict[str, str]:
    """Key → name: one part for all where no one, or one alone, is concerned."""
    if len(report.concerned) < 2:
        return {"": ""}
    names = short_names_of(report.concerned)
    return {str(student.pk): names[student.pk] for student in report.concerned}


def _hour(at: datetime, shop: Shop) -> dict[str, Any]:
    local = at.astimezone(ZoneInfo(shop.school.time_zone))
    return {"day": local.date(), "time": local.time().replace(second=0, microsecond=0)}


def _initial(report: WrittenReport, shop: Shop, machine: Machine | None) -> dict[str, Any]:
    text, version = report.text, report.version
    own: dict[str, OwnPart] = {}
    for row in report.accounts:
        key = str(row.student_id) if len(report.concerned) > 1 else ""
        own[key] = own_of(row.content)
    return {
        "sort": version.sort,
        "machine": str(machine.pk) if machine else NO_MACHINE if text.no_machine else "",
        "who": [str(student.pk) for student in report.concerned],
        "witnesses": [str(student.pk) for student in report.witnesses],
        "seen": version.number,
        **_hour(version.happened_at, shop),
        **_informed(text),
        **{name: getattr(text, name) for name in ("doing", "doing_words", "words", "witness_words", "other_person")},
        "nobody_informed": text.nobody_informed,
        **{f"{name}{key}": value for key, part in own.items() for name, value in part.as_content().items()},
    }


def _informed(text: ReportText) -> dict[str, Any]:
    """What the fields about each who was informed begin with."""
    hours = dict(text.informed)
    fields: dict[str, Any] = {}
    for name, stored in STORED_WHOM.items():
        fields[name] = stored in hours
        fields[f"{name}_at"] = hours.get(stored) or None
    return fields
