"""A clearance that expires when unused counts from the last run; machine time comes out of runs."""

from datetime import timedelta

from django.test import Client

from machines.clearance.facts import GapCode, Standing
from machines.clearance.queries import answer_for, standings_for_section
from tests.counting import queries
from tests.factories.machines import NOON, SUMMER, Floor, asks
from tests.factories.shop_in_use import MINUTE, given, keep_runs, opened, running, stopped

LATER = NOON + timedelta(days=4)


def expires_unused(floor: Floor) -> None:
    more = {"unused_days": 5, "holds_from": SUMMER + MINUTE, "set_at": SUMMER + MINUTE}
    asks(floor.saw, floor.general, floor.saw_bank, **more)


def test_a_run_keeps_the_clearance(floor: Floor) -> None:
    student, mate = floor.cast.student, floor.cast.classmate
    for person in (student, mate):
        floor.make_cleared(person)  # signed off three days before
    expires_unused(floor)
    opened(floor)
    stopped(running(floor, student))
    stopped(given(floor, mate, at=NOON + 6 * MINUTE), at=NOON + 7 * MINUTE)  # given, and never started
    answers = standings_for_section(floor.cast.section, LATER).answers
    assert answers[student.pk, floor.saw_2.pk].standing is Standing.CLEARED
    assert [reason.code for reason in answers[mate.pk, floor.saw_2.pk].reasons] == [GapCode.NOT_USED]
    assert answer_for(student, floor.saw_2, LATER) == answers[student.pk, floor.saw_2.pk]


def test_runs_are_read_only_where_a_machine_asks_for_them(floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    with queries() as before:
        standings_for_section(floor.cast.section, LATER)
    expires_unused(floor)
    with queries() as after:
        standings_for_section(floor.cast.section, LATER)
    assert len(after) == len(before) + 1


def test_is_offered_where_runs_are_kept(floor: Floor) -> None:
    teacher = Client()
    teacher.force_login(floor.cast.teacher)
    page = f"/kinds/{floor.saw.pk}/requirements/"
    assert 'name="unused_days"' not in teacher.get(page).content.decode()
    keep_runs(floor.cast.shop)
    assert 'name="unused_days"' in teacher.get(page).content.decode()
