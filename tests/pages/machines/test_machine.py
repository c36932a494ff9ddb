"""One machine's page, as each of its readers sees it."""

import pytest
from django.test import Client

from shopsafe.school.signing_in.codes.check_word_today import word_of
from tests.cast import Cast
from tests.factories.machines import NOON, Floor
from tests.pages.machines.reading import main_of


def test_says_how_to_stop_it_and_who_may_use_it(teacher: Client, cast: Cast, floor: Floor) -> None:
    floor.make_cleared(cast.student)
    page = main_of(teacher.get(f"/machines/{floor.saw_2.pk}/"))
    assert floor.saw.stop in page
    assert cast.student.short_name in page.partition("Only these people may use it")[2]
    assert "Follow the shop rules and the maker's manual. They come first." in page


def test_a_student_reads_the_own_standing_and_presses_nothing(client: Client, cast: Cast, floor: Floor) -> None:
    floor.make_ready(cast.student)
    client.force_login(cast.student)
    page = main_of(client.get(f"/machines/{floor.saw_2.pk}/"))
    assert "Not yet. Show your teacher first." in page
    assert f'Your check word today: <b class="word">{word_of(cast.student, NOON)}</b>' in page
    assert "<button" not in page
    assert "Tag out" not in page
    assert "Hands off, and tell your teacher right away" in page


def test_narrowed_to_a_class_by_its_number_and_by_nothing_else(teacher: Client, cast: Cast, floor: Floor) -> None:
    floor.make_ready(cast.student)
    for class_value in (cast.section.pk, "nine", cast.stranger_section.pk, "9" * 30):
        assert teacher.get(f"/machines/{floor.saw_2.pk}/", {"class": class_value}).status_code == 200


def test_machine_of_another_school_returns_404(teacher: Client, floor: Floor) -> None:
    assert teacher.get(f"/machines/{floor.far_saw.pk}/").status_code == 404


@pytest.mark.parametrize(
    ("own", "said"), [("Big blue", "Band saw"), ("Old band saw", ""), ("", "")], ids=["own", "says it", "none"]
)
def test_a_machine_with_a_name_of_its_own_says_what_it_is(teacher: Client, floor: Floor, own: str, said: str) -> None:
    floor.saw_2.name = own
    floor.saw_2.save(update_fields=["name"])
    assert floor.saw_2.what_it_is == said
    for address in ("/machines/", f"/machines/{floor.saw_2.pk}/"):
        assert (f'class="sub">{said}' in main_of(teacher.get(address))) if said else True
