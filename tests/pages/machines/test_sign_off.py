"""Signing off at the machine: every point, once, for those who may be."""

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client

from machines.holds.acts import place_hold
from machines.models import SignOff
from machines.tag_outs.acts import tag_out
from tests.cast import Cast
from tests.factories.machines import NOON, POINTS, Floor, signed
from tests.pages.machines.reading import main_of


@pytest.fixture
def place(cast: Cast, floor: Floor) -> str:
    return f"/machines/{floor.saw_2.pk}/sign-off/{cast.student.pk}/"


def ticked(*points: str, **more: Any) -> dict[str, Any]:
    return {"tap": str(uuid4()), "point": list(points or POINTS)} | more


def test_signed_off_once_however_often_it_is_sent(teacher: Client, cast: Cast, floor: Floor, place: str) -> None:
    floor.make_ready(cast.student)
    sent = ticked()
    for _ in range(2):
        assert teacher.post(place, sent).status_code == 302
    assert SignOff.objects.get().points == POINTS
    page = main_of(teacher.get(f"/machines/{floor.saw_2.pk}/"))
    assert f"Undo the sign-off of {cast.student.short_name}" in page


def test_missing_point_is_named_and_checked_points_stay(teacher: Client, cast: Cast, floor: Floor, place: str) -> None:
    floor.make_ready(cast.student)
    response = teacher.post(place, ticked(*POINTS[:2]))
    assert response.status_code == 422
    page = main_of(response)
    assert POINTS[2] in page.partition("Not checked yet")[2].partition("</ul>")[0]
    assert page.count(" checked>") == 2
    assert not SignOff.objects.exists()


@pytest.mark.parametrize("tap", ["", "not an id"])
def test_page_without_a_valid_tap_asks_to_open_it_again(
    teacher: Client, cast: Cast, floor: Floor, place: str, tap: str
) -> None:
    floor.make_ready(cast.student)
    response = teacher.post(place, ticked(tap=tap))
    assert response.status_code == 422
    assert "again" in main_of(response)
    assert not SignOff.objects.exists()


def test_unready_student_is_not_signed_off(teacher: Client, place: str) -> None:
    response = teacher.post(place, ticked())
    assert response.status_code == 409
    assert 'class="errors"' in main_of(response)
    assert not SignOff.objects.exists()


def test_script_reads_why_a_sign_off_is_refused(teacher: Client, place: str) -> None:
    response = teacher.post(place, ticked(), headers={"Accept": "application/json"})
    assert (response.status_code, response.headers["Shopsafe-Refusal"]) == (409, "refused")
    assert "is not ready for sign-off on this machine. The safety agreement" in response.json()["sentence"]


def stop_of(page: str) -> str:
    """What the page says instead of the form."""
    assert "be signed off here now" in page
    assert 'name="point"' not in page
    return page.partition("be signed off here now")[2].partition("</div>")[0]


def test_unready_student_is_shown_with_the_next_step(teacher: Client, cast: Cast, floor: Floor, place: str) -> None:
    stop_text = stop_of(main_of(teacher.get(place)))
    assert "is not ready for sign-off on this machine. The safety agreement for this school year" in stop_text
    assert f"/classes/{cast.section.pk}/register/{cast.student.pk}/{floor.saw_2.pk}/" in stop_text
    floor.make_ready(cast.student)
    assert 'name="point"' in main_of(teacher.get(place))


def test_a_machine_that_is_tagged_out_offers_no_form(teacher: Client, cast: Cast, floor: Floor, place: str) -> None:
    floor.make_ready(cast.student)
    row = tag_out(machine=floor.saw_2, reason="Blade cracked.", by=cast.teacher, tap=uuid4(), at=NOON)
    stop_text = stop_of(main_of(teacher.get(place)))
    assert "Band saw 2 is tagged out: Blade cracked." in stop_text
    assert f"/tag-outs/{row.pk}/return/" in stop_text


def test_held_or_cleared_student_is_shown_in_words_for_staff(
    teacher: Client, cast: Cast, floor: Floor, place: str
) -> None:
    floor.make_cleared(cast.student)
    assert f"{cast.teacher.name} signed off {cast.student.name}" in stop_of(main_of(teacher.get(place)))
    place_hold(
        student=cast.student, machines=None, reason="misuse", lifts="talk", by=cast.teacher, tap=uuid4(), at=NOON
    )
    stop_text = stop_of(main_of(teacher.get(place)))
    assert f"On hold, placed by {cast.teacher.name}." in stop_text
    assert "paused" not in stop_text


def test_undone_within_ten_minutes_and_not_after(teacher: Client, cast: Cast, floor: Floor) -> None:
    floor.make_ready(cast.student)
    old = signed(cast.student, floor.saw_2, cast.teacher, NOON - timedelta(minutes=11))
    new = signed(cast.student, floor.saw_3, cast.teacher, NOON - timedelta(minutes=9))
    assert teacher.post(f"/sign-offs/{old.pk}/undo/").status_code == 409
    assert teacher.post(f"/sign-offs/{new.pk}/undo/").status_code == 302
    assert [sign_off_row.undone_at for sign_off_row in SignOff.objects.order_by("pk")] == [None, NOON]


def test_withdrawn_once_and_with_a_reason(teacher: Client, cast: Cast, floor: Floor) -> None:
    row = floor.make_cleared(cast.student)
    place = f"/sign-offs/{row.pk}/withdraw/"
    bare = teacher.post(place, {"reason": " "})
    assert bare.status_code == 422
    assert "Say why you withdraw this sign-off." in main_of(bare)
    for status in (302, 409):
        sent = {"reason": "Left the guard up.", "tap": str(uuid4())}
        assert teacher.post(place, sent).status_code == status
        if status == 302:
            message = f"Withdrawn: {cast.student.short_name} is not signed off on band saw 2 any more."
            assert message in teacher.get(f"/machines/{row.machine_id}/").content.decode()
    row.refresh_from_db()
    assert (row.withdrawn_reason, row.withdrawn_by) == ("Left the guard up.", cast.teacher)


def test_withdrawal_sent_again_is_one_withdrawal(teacher: Client, cast: Cast, floor: Floor) -> None:
    row, sent = floor.make_cleared(cast.student), {"reason": "Left the guard up.", "tap": str(uuid4())}
    for _ in range(2):
        assert teacher.post(f"/sign-offs/{row.pk}/withdraw/", sent).status_code == 302
    row.refresh_from_db()
    assert row.withdrawn_reason == "Left the guard up."


def test_sign_offs_of_another_school_return_404(teacher: Client, cast: Cast, floor: Floor) -> None:
    far = signed(cast.stranger_student, floor.far_saw, cast.stranger_teacher)
    addresses = [
        f"/machines/{floor.far_saw.pk}/sign-off/{cast.student.pk}/",
        f"/machines/{floor.saw_2.pk}/sign-off/{cast.stranger_student.pk}/",
        f"/sign-offs/{far.pk}/withdraw/",
    ]
    assert [teacher.post(address, ticked(reason="x")).status_code for address in addresses] == [404, 404, 404]
    assert SignOff.objects.get() == far
