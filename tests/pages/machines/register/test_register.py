"""The register: one class down, the machines across."""

from datetime import timedelta
from uuid import uuid4

import pytest
import time_machine
from django.test import Client

from machines.tag_outs.acts import tag_out
from shopsafe.school.people.acts.moves import end_enrollment
from tests.cast import Cast
from tests.factories.machines import NOON, Floor
from tests.pages.machines.reading import main_of


def cell(cast: Cast, floor: Floor) -> str:
    return f'id="c{cast.student.pk}-{floor.saw_2.pk}"'


def standing_in(page: str, mark: str) -> str:
    """The spoken standing of one cell."""
    return page.partition(mark)[2].partition('class="unseen">')[2].partition("<")[0]


def test_each_student_has_a_standing_at_each_machine(teacher: Client, cast: Cast, floor: Floor) -> None:
    floor.make_cleared(cast.student)
    page = main_of(teacher.get(f"/classes/{cast.section.pk}/register/"))
    assert standing_in(page, cell(cast, floor)) == "Cleared"
    assert standing_in(page, f'id="c{cast.classmate.pk}-{floor.saw_2.pk}"') == "Not started"
    assert cast.stranger_student.name not in page


def test_a_day_gone_by_comes_out_as_it_was(teacher: Client, cast: Cast, floor: Floor) -> None:
    floor.make_cleared(cast.student)
    before = (NOON - timedelta(days=4)).strftime("%Y-%m-%dT%H:%M")
    page = main_of(teacher.get(f"/classes/{cast.section.pk}/register/", {"at": before}))
    assert standing_in(page, cell(cast, floor)) == "Ready for sign-off"


@pytest.mark.parametrize("at", ["yesterday", "2026-13-45T10:00", "9999-12-31T23:59"])
def test_invalid_moment_shows_an_error(teacher: Client, cast: Cast, floor: Floor, at: str) -> None:
    response = teacher.get(f"/classes/{cast.section.pk}/register/", {"at": at})
    assert response.status_code == 422
    assert "<title>Error: " in response.content.decode()


def test_narrowed_to_those_who_are_ready(teacher: Client, cast: Cast, floor: Floor) -> None:
    floor.make_ready(cast.student)
    page = main_of(teacher.get(f"/classes/{cast.section.pk}/register/", {"show": "ready"}))
    assert cast.student.name in page
    assert cast.classmate.name not in page


def test_class_of_another_school_returns_404(teacher: Client, cast: Cast) -> None:
    assert teacher.get(f"/classes/{cast.stranger_section.pk}/register/").status_code == 404


def test_the_column_of_a_machine_that_is_tagged_out_shows_no_green(teacher: Client, cast: Cast, floor: Floor) -> None:
    floor.make_cleared(cast.student)
    place = f"/classes/{cast.section.pk}/register/"
    assert " idle" not in main_of(teacher.get(place))
    tag_out(machine=floor.saw_2, reason="Blade cracked.", by=cast.teacher, tap=uuid4(), at=NOON)
    assert ' idle"' in main_of(teacher.get(place)).partition(cell(cast, floor))[2].partition(">")[0] + ">"


def test_last_day_is_shown_and_the_student_is_absent_the_next_day(teacher: Client, cast: Cast, floor: Floor) -> None:
    place = f"/classes/{cast.section.pk}/register/"
    assert "Last day in this class" not in main_of(teacher.get(place))
    end_enrollment(section=cast.section, student=cast.student, by=cast.teacher, at=NOON)
    assert f"Last day in this class today: {cast.student.name}." in main_of(teacher.get(place))
    with time_machine.travel(NOON + timedelta(days=1)):
        teacher.force_login(cast.teacher)
        assert cast.student.name not in main_of(teacher.get(place))
