"""Rows of the shop in use for pages, each from the asker: a student's own, otherwise those of the asker's shops."""

from datetime import date

from django.db.models import QuerySet

from machines.models import Machine, Run, RunHelper, SupervisingGrant, WaitingStudent
from shopsafe.school import access
from shopsafe.school.models import Person, Section


def runs_for(person: Person) -> QuerySet[Run]:
    """The runs in the shops of staff; a student's own alone."""
    runs = Run.objects.filter(machine__shop__in=access.shops_for(person))
    if person.is_student:
        runs = runs.filter(student=person)
    return runs.select_related(
        "machine__kind", "machine__shop__school", "student__school", "opening__section__school", "given_by"
    )


def run_for(person: Person, pk: int) -> Run:
    return access.one_of(runs_for(person), pk=pk)


def open_run(**of: Person | Machine) -> Run | None:
    """The run that no one has ended, of a student or at a machine: either has one at most."""
    return Run.objects.filter(ended_at=None, **of).select_related("student", "machine__kind").first()


def helpers_at(run: Run) -> list[RunHelper]:
    """Who helps at a run now."""
    return list(RunHelper.objects.filter(run=run, ended_at=None).select_related("student").order_by("pk"))


def helper_for(person: Person, pk: int) -> RunHelper:
    rows = RunHelper.objects.filter(run__machine__shop__in=access.shops_for(person))
    return access.one_of(
        rows.select_related("student", "run__student", "run__machine__kind", "run__machine__shop", "run__opening"),
        pk=pk,
    )


def waiting_for(person: Person, pk: int) -> WaitingStudent:
    """A place on a waiting list: a student's own alone."""
    rows = WaitingStudent.objects.filter(machine__shop__in=access.shops_for(person))
    if person.is_student:
        rows = rows.filter(student=person)
    return access.one_of(rows.select_related("machine__kind", "machine__shop", "student", "opening"), pk=pk)


def grants_of(section: Section, day: date) -> QuerySet[SupervisingGrant]:
    """The grants of a class from `day` on that stand."""
    rows = SupervisingGrant.objects.filter(section=section, day__gte=day, withdrawn_at=None)
    return rows.select_related("substitute", "by")


def grant_for(person: Person, pk: int) -> SupervisingGrant:
    rows = SupervisingGrant.objects.filter(section__in=access.sections_for(person))
    return access.one_of(rows.select_related("section__school", "substitute"), pk=pk)
