"""A group at one machine: each student tapped, each judged and signed off alone, and distinguished in the result."""

from typing import Any
from uuid import uuid4

import pytest
from django.test import Client

from machines.holds.acts import place_hold
from machines.models import SignOff
from machines.sign_offs.acts import sign_off
from machines.tag_outs.acts import tag_out
from shopsafe.logbook.models import Entry
from shopsafe.school.models import Person
from tests.cast import Cast
from tests.factories.machines import NOON, POINTS, Floor
from tests.factories.people import EnrollmentFactory, PersonFactory
from tests.pages.machines.reading import main_of


@pytest.fixture
def place(floor: Floor) -> str:
    return f"/machines/{floor.saw_2.pk}/sign-off/"


@pytest.fixture
def ready(cast: Cast, floor: Floor) -> list[Person]:
    """Seven students who are ready for a sign-off, one more than a group holds."""
    more = [PersonFactory(school=cast.school) for _ in range(5)]
    for person in more:
        EnrollmentFactory(student=person, section=cast.section)
    students = [cast.student, cast.classmate, *more]
    for person in students:
        floor.make_ready(person)
    return students


def tapped(*students: Person, points: list[str] = POINTS, **more: Any) -> dict[str, Any]:
    return {"tap": str(uuid4()), "student": [person.pk for person in students], "point": points} | more


def signed_students() -> list[int]:
    return list(SignOff.objects.order_by("pk").values_list("student", flat=True))


def test_each_tapped_student_gets_a_sign_off_and_an_entry(teacher: Client, place: str, ready: list[Person]) -> None:
    response = teacher.post(place, tapped(*ready[:6]))
    assert response.status_code == 302
    assert signed_students() == [person.pk for person in ready[:6]]
    assert Entry.objects.filter(pk__in=SignOff.objects.values("entry")).count() == 6
    assert {tuple(row.points) for row in SignOff.objects.all()} == {tuple(POINTS)}
    assert "Signed off 6 on band saw 2." in main_of(teacher.get(response.headers["Location"]))


def test_button_is_shown_until_every_ready_student_is_signed_off(
    teacher: Client, place: str, ready: list[Person]
) -> None:
    teacher.post(place, tapped(*ready[:6]))
    assert 'class="button sign-now"' in main_of(teacher.get(place))
    teacher.post(place, tapped(ready[6]))
    page = main_of(teacher.get(place))
    assert page.count("signed off</small>") == 7
    assert 'class="button sign-now"' not in page


def test_group_sent_twice_is_signed_off_once(teacher: Client, place: str, ready: list[Person]) -> None:
    sent = tapped(*ready[:3])
    for _ in range(2):
        assert teacher.post(place, sent).status_code == 302
    assert signed_students() == [person.pk for person in ready[:3]]


def test_refused_student_is_named_with_the_reason_and_the_others_are_signed_off(
    teacher: Client, cast: Cast, floor: Floor, place: str, ready: list[Person]
) -> None:
    place_hold(
        student=ready[0], machines=None, reason="horseplay", lifts="talk", by=cast.teacher, tap=uuid4(), at=NOON
    )  # fmt: skip
    sign_off(student=ready[1], machine=floor.saw_2, by=cast.colleague, ticked=POINTS, tap=uuid4(), at=NOON)
    response = teacher.post(place, tapped(*ready[:3]))
    assert response.status_code == 409
    errors = main_of(response).partition('class="errors"')[2].partition("</div>")[0]
    assert f"{ready[0].name} is not ready for sign-off on this machine. On hold" in errors
    assert f"{cast.colleague.name} signed off {ready[1].name} on band saw 2" in errors
    assert ready[2].short_name not in errors
    assert signed_students() == [ready[1].pk, ready[2].pk]
    assert " checked" not in main_of(response), "the points are watched again for the next group"


def test_missing_point_signs_off_no_one_and_keeps_what_was_tapped(
    teacher: Client, place: str, ready: list[Person]
) -> None:
    response = teacher.post(place, tapped(*ready[:2], points=POINTS[:2]))
    assert response.status_code == 422
    page = main_of(response)
    assert f"Not checked yet: “{POINTS[2]}”" in page
    assert page.count(" checked>") == 4
    assert not signed_students()


@pytest.mark.parametrize(("count", "sentence"), [(0, "Tap each student you watched."), (7, "Tap no more than 6")])
def test_no_student_or_a_seventh_is_refused(
    teacher: Client, place: str, ready: list[Person], count: int, sentence: str
) -> None:
    response = teacher.post(place, tapped(*ready[:count]))
    assert response.status_code == 422
    assert sentence in main_of(response)
    assert not signed_students()


def test_nothing_is_preselected_and_only_ready_students_are_listed(
    teacher: Client, cast: Cast, place: str, ready: list[Person]
) -> None:
    newcomer = PersonFactory(school=cast.school)
    EnrollmentFactory(student=newcomer, section=cast.section)
    page = main_of(teacher.get(f"{place}?class={cast.section.pk}"))
    assert page.count('name="student"') == 7
    assert f'value="{newcomer.pk}"' not in page
    assert " checked" not in page


def test_machine_out_of_use_offers_no_form(teacher: Client, cast: Cast, floor: Floor, place: str) -> None:
    floor.make_ready(cast.student)
    tag_out(machine=floor.saw_2, reason="Blade cracked.", by=cast.teacher, tap=uuid4(), at=NOON)
    page = main_of(teacher.get(place))
    assert "Blade cracked." in page
    assert 'name="student"' not in page


def test_student_of_another_school_is_404_and_no_one_is_signed_off(
    teacher: Client, cast: Cast, place: str, ready: list[Person]
) -> None:
    assert teacher.post(place, tapped(ready[0], cast.stranger_student)).status_code == 404
    assert not signed_students()
