"""The plan of demonstrations and the rotation of a class, and what a teacher moves by hand in the address."""

import json
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest
from django.core.management import call_command
from django.test import Client

from machines.models import DemonstrationTime, MachineKind, Run, ShopOpening
from machines.planning.queries import class_at_machines, minutes_left, rota_facts
from machines.planning.rules.rotas import make_rota
from shopsafe.school.models import MeetingTime
from tests.factories.machines import NOON, Floor
from tests.pages.machines.reading import main_of


@pytest.fixture
def teacher(client: Client, floor: Floor) -> Client:
    client.force_login(floor.cast.teacher)
    return client


def page(client: Client, floor: Floor, query: str = "", name: str = "plan") -> str:
    answer = client.get(f"/classes/{floor.cast.section.pk}/{name}/{query}")
    assert answer.status_code == 200
    return main_of(answer)


def test_a_student_who_is_ready_is_planned_and_may_be_left_out(teacher: Client, floor: Floor) -> None:
    student, machine = floor.cast.student, floor.saw_2
    assert "No one who is here is ready" in page(teacher, floor)
    floor.make_ready(student)
    first = page(teacher, floor, "?minutes=40")
    assert "Band saw 2" in first
    assert student.short_name in first
    left_out = page(teacher, floor, f"?minutes=40&bar={student.pk}-{machine.pk}&bar={student.pk}-{floor.saw_3.pk}")
    assert "Left out by the teacher." in left_out
    assert "Undo" in left_out


def test_a_move_that_clearance_does_not_allow_is_refused_by_name(teacher: Client, floor: Floor) -> None:
    student = floor.cast.student
    refused = page(teacher, floor, f"?minutes=40&keep={student.pk}-{floor.saw_2.pk}")
    assert f"{student.short_name} is not ready for sign-off on band saw 2." in refused


def test_words_that_are_no_move_change_nothing(teacher: Client, floor: Floor) -> None:
    for query in ("?minutes=40&keep=x&bar=9-9-9-9", f"?minutes=40&keep={'9' * 30}-1&bar=1-2"):
        assert "No one who is here is ready" in page(teacher, floor, query)


@pytest.mark.parametrize(
    ("name", "query"), [("plan", "?minutes=0"), ("plan", "?minutes=soon"), ("rotation", "?slots=9")]
)
def test_a_number_that_makes_no_plan_is_named(teacher: Client, floor: Floor, name: str, query: str) -> None:
    answer = teacher.get(f"/classes/{floor.cast.section.pk}/{name}/{query}")
    assert answer.status_code == 422
    assert 'class="error"' in answer.content.decode()


def test_only_cleared_students_are_in_the_rotation(teacher: Client, floor: Floor) -> None:
    assert "No student here is cleared on it." in page(teacher, floor, "?slots=2&minutes=10", "rotation")
    floor.make_cleared(floor.cast.student)
    table = page(teacher, floor, "?slots=2&minutes=10", "rotation")
    assert table.count("First time at band saw 2 this term.") == 1
    moved = page(teacher, floor, f"?slots=2&minutes=10&bar=0-{floor.saw_2.pk}-{floor.cast.student.pk}", "rotation")
    assert "Left empty by the teacher." in moved


def test_minutes_of_a_demonstration_are_checked_and_kept(teacher: Client, floor: Floor) -> None:
    path = f"/classes/{floor.cast.section.pk}/plan/minutes/"
    rows = {
        f"kind-{kind.pk}-{name}": number
        for kind in (floor.saw, floor.drill)
        for name, number in {"minutes": 4, "minutes_each": 2, "group_size": 6}.items()
    }
    wrong = teacher.post(path, rows | {f"kind-{floor.saw.pk}-group_size": 7})
    assert (wrong.status_code, DemonstrationTime.objects.count()) == (422, 0)
    done = teacher.post(path, rows | {f"kind-{floor.saw.pk}-minutes": 9})
    assert done.status_code == 302
    assert [(time.kind, time.minutes) for time in DemonstrationTime.objects.all()] == [(floor.saw, 9)]


def test_commands_print_the_same_as_json(floor: Floor, capsys: pytest.CaptureFixture[str]) -> None:
    floor.make_cleared(floor.cast.student)
    floor.make_ready(floor.cast.classmate)
    call_command("plan", floor.cast.section.name, minutes=30)
    plan = json.loads(capsys.readouterr().out)
    assert {student["id"] for line in plan["lines"] for student in line["students"]} >= {floor.cast.classmate.pk}
    call_command("rota", floor.cast.section.name, slots=1)
    rota = json.loads(capsys.readouterr().out)
    assert [(line["machine"], line["student"]) for line in rota["lines"]] == [(floor.saw_2.pk, floor.cast.student.pk)]


def test_machine_time_of_runs_decides_whose_turn_it_is(teacher: Client, floor: Floor) -> None:
    """Both are cleared on the only band saw in service: the student without machine time goes first."""
    student, classmate = floor.cast.student, floor.cast.classmate
    for person in (student, classmate):
        floor.make_cleared(person)
    opening = ShopOpening.objects.create(
        school=floor.cast.school, shop=floor.cast.shop, opened_by=floor.cast.teacher, opened_at=NOON
    )
    Run.objects.create(
        school=floor.cast.school,
        opening=opening,
        machine=floor.saw_2,
        student=student,
        given_by=floor.cast.teacher,
        given_at=NOON,
        started_at=NOON,
        ended_at=NOON + timedelta(minutes=12),
    )
    judged_class = class_at_machines(floor.cast.section, NOON + timedelta(hours=1))
    facts = rota_facts(judged_class, slots=1, slot_minutes=10)
    assert {row.key: row.minutes for row in facts.students} == {student.pk: 12, classmate.pk: 0}
    assert facts.minutes_at == {(student.pk, floor.saw_2.pk): 12}
    assert [line.seat.student for line in make_rota(facts).lines] == [classmate.pk]


def test_the_minutes_to_the_bell_are_the_minutes_of_the_plan(floor: Floor) -> None:
    section = floor.cast.section
    begins = NOON.astimezone(ZoneInfo(section.school.time_zone)) - timedelta(minutes=10)
    assert minutes_left(section, NOON) is None
    MeetingTime.objects.create(section=section, begins=begins.time(), ends=(begins + timedelta(minutes=45)).time())
    assert minutes_left(section, NOON) == 35
    assert minutes_left(section, NOON + timedelta(minutes=36)) is None


def test_a_machine_that_asks_for_a_helper_runs_only_with_a_cleared_one(floor: Floor) -> None:
    MachineKind.objects.filter(pk=floor.saw.pk).update(helpers=1, helper_role="outfeed")
    floor.make_cleared(floor.cast.student)
    alone = rota_facts(class_at_machines(floor.cast.section, NOON), slots=1, slot_minutes=10)
    assert make_rota(alone).lines == ()
    floor.make_cleared(floor.cast.classmate)
    together = rota_facts(class_at_machines(floor.cast.section, NOON), slots=1, slot_minutes=10)
    (line,) = make_rota(together).lines
    assert {line.seat.student, *line.helpers} == {floor.cast.student.pk, floor.cast.classmate.pk}
