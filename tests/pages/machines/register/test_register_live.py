"""The register asks for itself again and gets nothing where nothing changed; as a spreadsheet; the whole school."""

import csv
import io
import re
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
import time_machine
from django.test import Client

from machines.bench.queries import bench_of
from machines.holds.acts import place_hold
from machines.models import Machine
from machines.register.school import school_summary
from shopsafe.school.models import Enrollment
from tests.cast import Cast
from tests.counting import queries
from tests.factories.machines import NOON, Floor, KindFactory, MachineFactory, asks, make_floor
from tests.factories.people import EnrollmentFactory, SectionFactory

DAY = timedelta(days=1)


@pytest.fixture
def teacher(floor: Floor, client: Client) -> Any:
    with time_machine.travel(NOON, tick=False):
        client.force_login(floor.cast.teacher)
        yield client


def register(floor: Floor, query: str = "", name: str = "register/") -> str:
    return f"/classes/{floor.cast.section.pk}/{name}{query}"


def again(page: str) -> str:
    """The address under which the table asks for itself again."""
    address = re.search(r'hx-get="([^"]+)"', page)
    assert address
    return address[1].replace("&amp;", "&")


def hold(floor: Floor, **more: Any) -> None:
    arguments: dict[str, Any] = {
        "machines": [floor.saw_2],
        "reason": "dress",
        "lifts": "talk",
        "tap": uuid4(),
        "at": NOON,
    }
    place_hold(student=floor.cast.student, by=floor.cast.teacher, **(arguments | more))


def test_nothing_new_is_nothing_sent_and_a_hold_shows_at_once(floor: Floor, teacher: Client):
    floor.make_cleared(floor.cast.student)
    address = again(teacher.get(register(floor)).content.decode())
    answer = teacher.get(address)
    assert (answer.status_code, answer.content) == (204, b"")
    hold(floor)
    answer = teacher.get(address)
    assert answer.status_code == 200
    assert "On hold" in answer.content.decode()
    assert teacher.get(again(answer.content.decode())).status_code == 204


def test_a_new_student_is_news_too(floor: Floor, teacher: Client):
    address = again(teacher.get(register(floor)).content.decode())
    EnrollmentFactory(section=floor.cast.section)
    answer = teacher.get(address)
    assert answer.status_code == 200


def test_a_register_of_the_past_asks_for_nothing(floor: Floor, teacher: Client):
    assert "hx-get" not in teacher.get(register(floor, "?at=2026-10-01T09:30")).content.decode()


def test_as_a_spreadsheet_as_it_was_and_narrowed(floor: Floor, teacher: Client):
    floor.make_cleared(floor.cast.student)
    floor.cast.classmate.name = "=1+1"
    floor.cast.classmate.save()
    page = teacher.get(register(floor)).content.decode()
    assert 'register.csv"' in page
    answer = teacher.get(register(floor, name="register.csv"))
    rows = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert rows[0][2:] == ["Drill press 1", "Band saw 2", "Band saw 3"]
    assert {row[0]: row[3] for row in rows[1:]} == {floor.cast.student.name: "cleared", "'=1+1": "not started"}
    assert "attachment" in answer.headers["Content-Disposition"]
    before = teacher.get(register(floor, "?at=2026-10-01T09:30", "register.csv")).content.decode("utf-8-sig")
    assert "cleared" not in before
    hold(floor)
    held = teacher.get(register(floor, "?show=held", "register.csv")).content.decode("utf-8-sig")
    assert held.count("\r\n") == 2
    assert teacher.get(register(floor, name="register.xlsx")).content.startswith(b"PK")


# --- the whole school -------------------------------------------------------------------------------------------


def test_the_whole_school_counts_a_class_at_each_kind(floor: Floor, client: Client):
    floor.make_cleared(floor.cast.student)
    floor.make_ready(floor.cast.classmate)
    with time_machine.travel(NOON, tick=False):
        client.force_login(floor.cast.office)
        page = client.get("/office/standings/").content.decode()
    assert '<b>1</b><span class="sub">1 ready for sign-off</span>' in page
    assert floor.cast.section.name in page
    assert 'href="/office/standings/" aria-current="page"' in page
    assert 'href="/office/" aria-current' not in page


def test_better_status_counts_for_two_machines_of_a_type(floor: Floor):
    floor.make_cleared(floor.cast.student)
    hold(floor, machines=[floor.saw_3])
    (row,) = [row for row in school_summary(floor.cast.office, NOON).rows if row[0] == floor.cast.section]
    saw = row[2][[kind.name for kind in school_summary(floor.cast.office, NOON).kinds].index("Band saw")]
    assert (saw.cleared, saw.students) == (1, 2)


def test_holds_that_the_office_decides_about_wait_there(floor: Floor, client: Client):
    hold(floor, lifts="office", reason="injury")
    hold(floor, reason="horseplay")
    with time_machine.travel(NOON, tick=False):
        client.force_login(floor.cast.office)
        page = client.get("/office/standings/").content.decode()
    assert "An injury is being looked into." in page
    assert "Horseplay" not in page


def test_summary_skips_classes_without_the_machine(floor: Floor):
    far = SectionFactory(shop__school=floor.cast.school, term=floor.cast.section.term)
    EnrollmentFactory(section=far)
    floor.make_cleared(floor.cast.student)
    rows = {row[0].pk: row[2] for row in school_summary(floor.cast.office, NOON).rows}
    assert [count.students for count in rows[far.pk]] == [0, 0]
    past_rows = {row[0].pk: row[2] for row in school_summary(floor.cast.office, NOON - 4 * DAY).rows}
    assert sum(count.cleared for count in past_rows[floor.cast.section.pk]) == 0


# --- as many queries for many as for few ------------------------------------------------------------------------


def grow(floor: Floor) -> None:
    """Twenty more kinds with a machine each, and 29 more students who are cleared."""
    for number in range(20):
        kind = KindFactory(school=floor.cast.school)
        asks(kind, floor.general, kind.bank, floor.saw)
        MachineFactory(shop=floor.cast.shop, kind=kind, number=number + 10)
    for enrollment in EnrollmentFactory.create_batch(29, section=floor.cast.section):
        floor.make_cleared(enrollment.student)


@pytest.fixture
def small(cast: Cast) -> Floor:
    floor = make_floor(cast)
    Enrollment.objects.filter(student=cast.classmate).delete()
    Machine.objects.exclude(pk__in=[floor.saw_2.pk, floor.far_saw.pk]).update(retired_at=NOON)
    floor.make_cleared(cast.student)
    return floor


def counted(what: Any) -> int:
    with queries() as sent:
        what()
    return len(sent)


def test_the_school_costs_as_many_queries_large_as_small(small: Floor):
    few = counted(lambda: school_summary(small.cast.office, NOON))
    grow(small)
    for _ in range(3):
        section = SectionFactory(shop=small.cast.shop, term=small.cast.section.term)
        EnrollmentFactory.create_batch(5, section=section)
    assert counted(lambda: school_summary(small.cast.office, NOON)) == few <= 11


def test_a_bench_costs_as_many_queries_with_many_machines_as_with_one(small: Floor):
    bench_of(small.cast.student, NOON)
    few = counted(lambda: bench_of(small.cast.student, NOON))
    grow(small)
    assert counted(lambda: bench_of(small.cast.student, NOON)) == few <= 12


def test_a_poll_costs_as_many_queries_large_as_small(small: Floor, client: Client):
    with time_machine.travel(NOON, tick=False):
        client.force_login(small.cast.teacher)
        client.get(register(small, "?part=matrix"))
        few = counted(lambda: client.get(register(small, "?part=matrix")))
        grow(small)
        assert counted(lambda: client.get(register(small, "?part=matrix"))) == few <= 12
