"""Placing and lifting a hold on their pages."""

from typing import Any
from uuid import uuid4

import pytest
from django.test import Client

from machines.models import Hold
from tests.cast import Cast
from tests.factories.machines import Floor
from tests.factories.shop_in_use import given, opened
from tests.pages.machines.reading import main_of


@pytest.fixture
def place(cast: Cast) -> str:
    return f"/classes/{cast.section.pk}/register/{cast.student.pk}/hold/"


def asked(floor: Floor, **changes: Any) -> dict[str, Any]:
    sent = {"where": "some", "machines": [floor.saw_2.pk], "reason": "misuse", "lifts": "talk", "words": "Too fast."}
    return sent | {"tap": str(uuid4())} | changes


def test_placed_once_however_often_it_is_sent(teacher: Client, cast: Cast, floor: Floor, place: str) -> None:
    sent = asked(floor)
    for _ in range(2):
        assert teacher.post(place, sent).status_code == 302
    hold = Hold.objects.get()
    assert (hold.student, list(hold.machines.all()), hold.words) == (cast.student, [floor.saw_2], "Too fast.")


def test_the_machine_it_came_from_is_checked(teacher: Client, floor: Floor, place: str) -> None:
    page = main_of(teacher.get(place, {"machine": floor.saw_2.pk}))
    assert page.count(" checked>") == 2, "only those checked below, and this one"


def test_other_body_under_one_tap_is_refused_and_can_be_sent(
    teacher: Client, cast: Cast, floor: Floor, place: str
) -> None:
    """A hold on one machine for dress, then on all of them for an injury: the second is not lost."""
    first = asked(floor, reason="dress")
    second = first | {"where": "all", "reason": "injury", "lifts": "office"}
    assert teacher.post(place, first).status_code == 302
    refused = teacher.post(place, second)
    assert refused.status_code == 422
    assert "what you sent now is not" in main_of(refused)
    tap = str(refused.context["form"]["tap"].value())
    assert tap != first["tap"]
    assert f'name="tap" value="{tap}"' in main_of(refused)
    assert teacher.post(place, second | {"tap": tap}).status_code == 302
    assert list(Hold.objects.values_list("everywhere", "reason")) == [(False, "dress"), (True, "injury")]


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"reason": ""}, "Choose a reason."),
        ({"where": ""}, "Choose the machines, or all of them."),
        ({"lifts": "wishing"}, "wishing is not one of the available choices."),
        ({"machines": ["999999"]}, "999999 is not one of the available choices."),
        ({"machines": []}, None),
        ({"lifts": "date", "last_day": "2026-10-01"}, None),
    ],
)
def test_invalid_hold_shows_an_error_and_writes_nothing(
    teacher: Client, floor: Floor, place: str, wrong: dict[str, Any], sentence: str | None
) -> None:
    response = teacher.post(place, asked(floor, **wrong))
    assert response.status_code == 422
    assert (sentence or 'class="errors"') in main_of(response)
    assert not Hold.objects.exists()


def test_lifted_once_and_with_what_was_done(teacher: Client, floor: Floor, place: str) -> None:
    teacher.post(place, asked(floor))
    hold = Hold.objects.get()
    bare = teacher.post(f"/holds/{hold.pk}/lift/", {"words": ""})
    assert bare.status_code == 422
    assert "Say what was done about it." in main_of(bare)
    for status in (302, 409):
        assert teacher.post(f"/holds/{hold.pk}/lift/", {"words": "We talked."}).status_code == status
    hold.refresh_from_db()
    assert hold.lifted_words == "We talked."


def test_hold_of_another_school_returns_404(
    teacher: Client, cast: Cast, floor: Floor, client: Client, place: str
) -> None:
    teacher.post(place, asked(floor))
    hold = Hold.objects.get()
    far = f"/classes/{cast.stranger_section.pk}/register/{cast.stranger_student.pk}/hold/"
    assert teacher.post(far, asked(floor)).status_code == 404
    client.force_login(cast.stranger_teacher)
    assert client.post(f"/holds/{hold.pk}/lift/", {"words": "Mine."}).status_code == 404
    assert Hold.objects.get().lifted_at is None


def test_held_student_who_is_at_a_machine_is_named_with_the_machine(teacher: Client, floor: Floor) -> None:
    cast = floor.cast
    floor.make_cleared(cast.student)
    opened(floor, at=None)
    given(floor, cast.student, at=None)
    page = f"/classes/{cast.section.pk}/register/{cast.student.pk}/"
    assert "is on the list at" not in main_of(teacher.get(page))
    assert teacher.post(f"{page}horseplay/", {"tap": str(uuid4())}).status_code == 302
    assert "is on the list at band saw 2 now.</b>" in main_of(teacher.get(page))
