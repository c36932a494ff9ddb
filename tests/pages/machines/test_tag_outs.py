"""Tagging a machine out and returning it to service on their pages."""

import re
from uuid import uuid4

import pytest
from django.test import Client

from machines.models import TagOut
from tests.cast import Cast
from tests.factories.machines import Floor
from tests.factories.reports.inspections import sent_return
from tests.factories.shop_in_use import given, opened
from tests.pages.machines.reading import main_of


@pytest.fixture
def place(floor: Floor) -> str:
    return f"/machines/{floor.saw_2.pk}/tag-out/"


def test_tagged_out_once_however_often_it_is_sent(teacher: Client, floor: Floor, place: str) -> None:
    sent = {"reason": "Blade cracked.", "tap": str(uuid4())}
    for _ in range(2):
        assert teacher.post(place, sent).status_code == 302
    assert TagOut.objects.get().machine == floor.saw_2
    page = main_of(teacher.get(f"/machines/{floor.saw_2.pk}/"))
    assert "<b>No one may use it.</b> Blade cracked." in page
    assert place not in page, "it is out already"


def test_line_of_the_machine_type_tags_out_with_one_tap(teacher: Client, floor: Floor, place: str) -> None:
    page = main_of(teacher.get(place))
    [line] = floor.saw.tag_out
    assert f'<button class="pick" name="reason" value="{line}.">' in page
    [tap] = set(re.findall(r'name="tap" value="([^"]+)"', page))
    assert teacher.post(place, {"reason": line, "tap": tap}).status_code == 302
    assert TagOut.objects.get().reason == line


def test_student_on_the_list_is_named_until_marked_as_stopped(teacher: Client, floor: Floor, place: str) -> None:
    floor.make_cleared(floor.cast.student)
    opened(floor, at=None)
    given(floor, floor.cast.student, at=None)
    teacher.post(place, {"reason": "Blade cracked.", "tap": str(uuid4())})
    address, back = f"/machines/{floor.saw_2.pk}/", f"/tag-outs/{TagOut.objects.get().pk}/return/"
    page = main_of(teacher.get(address))
    assert "is on the list here.</b> Make sure that band saw 2 has stopped." in page
    assert "is still on the list at band saw 2.</b>" in main_of(teacher.get(back))
    stop = re.search(r'action="(/runs/\d+/end/)"', page)
    assert stop
    assert teacher.post(stop[1], {"tap": str(uuid4()), "next": "machine"}).headers["Location"] == address
    assert "on the list" not in main_of(teacher.get(address)) + main_of(teacher.get(back))


def test_a_second_tag_is_refused(teacher: Client, place: str) -> None:
    teacher.post(place, {"reason": "Blade cracked.", "tap": str(uuid4())})
    assert teacher.post(place, {"reason": "Guard loose.", "tap": str(uuid4())}).status_code == 409
    assert TagOut.objects.get().reason == "Blade cracked."


def test_tag_out_without_a_reason_writes_nothing(teacher: Client, place: str) -> None:
    response = teacher.post(place, {"reason": "  ", "tap": str(uuid4())})
    assert response.status_code == 422
    assert 'class="errors"' in main_of(response)
    assert not TagOut.objects.exists()


def test_returned_once_and_after_its_whole_list(teacher: Client, floor: Floor, place: str) -> None:
    teacher.post(place, {"reason": "Blade cracked.", "tap": str(uuid4())})
    row = TagOut.objects.get()
    back = f"/tag-outs/{row.pk}/return/"
    page = main_of(teacher.get(back))
    assert "Guards and covers are whole, tight and in place." in page
    assert "29 CFR 1910.212(a)(1)" in page
    assert " checked" not in page.replace("and checked?", ""), "nothing is answered beforehand"
    assert teacher.post(back, {"found": "New blade."}).status_code == 422
    no = teacher.post(back, {**sent_return(floor.saw_2), "line-0": "no"})
    assert no.status_code == 422
    assert "stays out of service" in main_of(no)
    for status in (302, 409):
        assert teacher.post(back, sent_return(floor.saw_2, "New blade, tracked.")).status_code == status
    row.refresh_from_db()
    assert row.inspection == "New blade, tracked."


def test_machine_or_tag_out_of_another_school_returns_404(
    teacher: Client, client: Client, cast: Cast, floor: Floor, place: str
) -> None:
    teacher.post(place, {"reason": "Blade cracked.", "tap": str(uuid4())})
    row = TagOut.objects.get()
    assert teacher.post(f"/machines/{floor.far_saw.pk}/tag-out/", {"reason": "x"}).status_code == 404
    client.force_login(cast.stranger_teacher)
    assert client.post(f"/tag-outs/{row.pk}/return/", {"found": "x"}).status_code == 404
    assert TagOut.objects.get().returned_at is None


def test_a_second_teacher_is_asked_for_the_reason(teacher: Client, client: Client, cast: Cast, floor: Floor) -> None:
    teacher.post(f"/machines/{floor.saw_2.pk}/tag-out/", {"reason": "Blade cracked.", "tap": str(uuid4())})
    back = f"/tag-outs/{TagOut.objects.get().pk}/return/"
    assert "instead" not in main_of(teacher.get(back))
    client.force_login(cast.colleague)
    assert f"{cast.teacher.name} tagged it out. Why do you return it instead?" in main_of(client.get(back))
    refused = client.post(back, sent_return(floor.saw_2, reason=""))
    assert refused.status_code == 422
    assert f"Say why you return it instead of {cast.teacher.name}." in main_of(refused)
    assert client.post(back, sent_return(floor.saw_2)).status_code == 302
