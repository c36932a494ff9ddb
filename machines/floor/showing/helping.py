"""Who can be named as helper at a run: free students of the class, cleared where the machine type asks for it."""

from datetime import datetime

from machines.clearance.queries import matrix
from machines.floor.rows.away import away_of
from machines.floor.start_facts import busy_at, helper_now
from machines.models import Run, RunHelper
from shopsafe.school.models import Person
from shopsafe.school.naming.name_labels import short_names_of
from shopsafe.school.people.classes import students_of


def helper_choices(run: Run, at: datetime) -> list[tuple[Person, str]]:
    """Each student who can help now, with the name as the class reads it."""
    section, machine = run.opening.section, run.machine
    students = [student for student in students_of(section, at) if student.pk != run.student_id] if section else []
    keys = [student.pk for student in students]
    answers, busy = matrix(students, [machine], machine.shop.school, at).answers, busy_at(keys, machine)
    away = away_of(keys, section.pk if section else 0, at, machine.shop.school.time_zone)
    helping = set(RunHelper.objects.filter(run=run, ended_at=None).values_list("student", flat=True))
    names = short_names_of(students)
    able = []
    for student in students:
        answer = answers.get((student.pk, machine.pk))
        now = helper_now(student, answer, busy.get(student.pk, ""), machine.kind, away)
        able_now = now.may_help and not now.on_hold and not now.busy_at and now.here is not False
        if able_now and student.pk not in helping:
            able.append((student, names[student.pk]))
    return able
