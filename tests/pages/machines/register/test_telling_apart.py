"""Two students of one name: wherever staff read one among others, the school's number tells which; students don't."""

from typing import Any
from uuid import uuid4

import pytest
from django.test import Client

from machines.holds.acts import place_hold
from machines.prints.sheets.substitute import substitute_sheet
from machines.prints.sheets.wall import shop_snapshot
from shopsafe.paper.rules.names import short_names
from shopsafe.school.models import Person
from shopsafe.school.naming.name_labels import full_names_of, short_names_of
from tests.cast import Cast
from tests.factories.machines import NOON, POINTS, Floor, signed
from tests.factories.people import EnrollmentFactory, PersonFactory
from tests.factories.substitutes import granted, with_number
from tests.pages.machines.reading import main_of
from tests.paper import looking


def greta(cast: Cast, number: str, family: str = "Smith") -> Person:
    named: dict[str, Any] = {"given_name": "Greta", "family_name": family, "local_id": number}
    return EnrollmentFactory(section=cast.section, student=PersonFactory(school=cast.school, **named)).student


@pytest.fixture
def two(cast: Cast, floor: Floor) -> tuple[Person, Person]:
    """Both ready to show."""
    students = greta(cast, "201006"), greta(cast, "201007")
    for student in students:
        floor.make_ready(student)
    return students


def sign_off(teacher: Client, floor: Floor, student: Person) -> str:
    sent = {"tap": str(uuid4()), "point": POINTS}
    return main_of(teacher.post(f"/machines/{floor.saw_2.pk}/sign-off/{student.pk}/", sent, follow=True))


def test_the_tiles_and_the_sign_off_say_which(teacher: Client, floor: Floor, two: tuple[Person, Person]) -> None:
    page = main_of(teacher.get(f"/machines/{floor.saw_2.pk}/sign-off/{two[1].pk}/"))
    for text in ("Greta Smith (1006)<small>", "Greta Smith (1007)<small>", "I watched Greta Smith (1007)"):
        assert text in page
    assert 'data-label="Sign off Greta Smith (1007) on band saw 2"' in page


def test_tile_shows_the_number_when_the_namesake_is_not_ready(teacher: Client, cast: Cast, floor: Floor) -> None:
    student = greta(cast, "201006")
    greta(cast, "201007")
    floor.make_ready(student)
    assert "Greta Smith (1006)<small>" in main_of(teacher.get(f"/machines/{floor.saw_2.pk}/"))


def test_sign_off_messages_name_the_student_with_the_number(
    teacher: Client, floor: Floor, two: tuple[Person, Person]
) -> None:
    page = sign_off(teacher, floor, two[0])
    assert "Signed off Greta Smith (1006) on band saw 2." in page
    assert "Undo the sign-off of Greta Smith (1006)" in page
    assert "Withdraw the sign-off of Greta Smith (1006)" in page
    undo = page.partition("/undo/")[0].rpartition('"')[2] + "/undo/"
    assert "Undone: Greta Smith (1006) is not signed off" in main_of(teacher.post(undo, follow=True))


def test_the_register_and_its_pages_say_which(
    teacher: Client, cast: Cast, floor: Floor, two: tuple[Person, Person]
) -> None:
    place = f"/classes/{cast.section.pk}/register/"
    assert "Greta Smith (1007)</a></th>" in main_of(teacher.get(place))
    for inner in ("", f"{floor.saw_2.pk}/"):
        assert "<h1>Greta Smith (1007)" in main_of(teacher.get(f"{place}{two[1].pk}/{inner}"))


def test_today_says_which(teacher: Client, cast: Cast, floor: Floor, two: tuple[Person, Person]) -> None:
    ready_student, held_student = two
    place_hold(student=held_student, machines=None, reason="dress", lifts="talk", by=cast.teacher, tap=uuid4(), at=NOON)
    page = main_of(teacher.get("/today/"))
    assert f'/sign-off/{ready_student.pk}/?class={cast.section.pk}">Greta Smith (1006)</a>' in page
    assert "<b>Greta Smith (1007)</b> on hold, every machine" in page


def test_the_people_of_a_class_and_their_slips_say_which(
    teacher: Client, cast: Cast, two: tuple[Person, Person]
) -> None:
    page = main_of(teacher.get(f"/people/{cast.section.pk}/"))
    assert ">Greta Smith (1006)</a>" in page
    for inner in ("", "remove/", "agreement/withdraw/", "name/"):
        assert "Greta Smith (1007)" in main_of(teacher.get(f"/people/{cast.section.pk}/{two[1].pk}/{inner}"))
    slips = teacher.post(f"/people/{cast.section.pk}/slips/", {"student": [two[1].pk]})
    assert "Greta Smith (1007)" in looking.text(slips.content)


def test_a_card_says_which_where_the_other_is_not_on_it(cast: Cast, floor: Floor, two: tuple[Person, Person]) -> None:
    signed(two[0], floor.saw_2, cast.teacher)
    with_number(cast)
    granted(cast)
    snapshot = shop_snapshot(cast.shop, NOON)
    assert short_names(snapshot.card(floor.saw_2)[0].names) == ["Greta Smith (1006)"]
    sheet = next(
        machine_row
        for machine_row in substitute_sheet(snapshot, cast.section).machines
        if machine_row.machine == "Band saw 2"
    )
    assert sheet.names == ("Greta Smith (1006)",)


def test_a_quiz_on_paper_is_given_to_the_right_one(teacher: Client, two: tuple[Person, Person]) -> None:
    assert f'<option value="{two[0].pk}">Greta Smith (1006)</option>' in main_of(teacher.get("/quizzes-on-paper/"))


def test_a_student_reads_neither_name_nor_number_of_a_classmate(
    client: Client, cast: Cast, floor: Floor, two: tuple[Person, Person]
) -> None:
    signed(two[0], floor.saw_2, cast.teacher)
    client.force_login(cast.student)
    page = main_of(client.get(f"/machines/{floor.saw_2.pk}/"))
    assert "Greta" not in page
    assert "1006" not in page


def test_sign_in_names_distinguish_namesakes_without_numbers(cast: Cast) -> None:
    two = [greta(cast, "", "Lund"), greta(cast, "", "Lund")]
    for named in (full_names_of(two), short_names_of(two)):
        assert list(named.values()) == ["Greta Lund", "Greta Lund (2)"]


def test_student_in_two_classes_gets_no_label(cast: Cast) -> None:
    student = greta(cast, "201006")
    assert short_names_of([student, student]) == {student.pk: "Greta S."}


def test_the_office_reads_which_hold_waits_for_it(client: Client, cast: Cast, two: tuple[Person, Person]) -> None:
    place_hold(student=two[1], machines=None, reason="dress", lifts="office", by=cast.teacher, tap=uuid4(), at=NOON)
    client.force_login(cast.office)
    assert "Greta Smith (1007)</b>" in main_of(client.get("/office/standings/"))
