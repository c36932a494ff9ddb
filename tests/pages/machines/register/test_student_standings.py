"""One student at every machine, and one cell with its reasons."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from machines.holds.acts import place_hold
from machines.models import Hold
from machines.tag_outs.acts import tag_out
from tests.cast import Cast
from tests.factories.machines import NOON, BankFactory, EditionFactory, Floor, KindFactory, MachineFactory, asks
from tests.factories.reports.inspections import returned
from tests.pages.machines.reading import main_of


@pytest.fixture
def place(cast: Cast) -> str:
    return f"/classes/{cast.section.pk}/register/{cast.student.pk}/"


def test_says_for_each_machine_the_standing_and_why(teacher: Client, cast: Cast, floor: Floor, place: str) -> None:
    floor.make_cleared(cast.student)
    page = main_of(teacher.get(place))
    assert page.count('class="sheet machine-row"') == 3
    assert page.count("Cleared") == 1


def test_says_how_far_the_student_is_with_what_all_machines_ask_for(
    teacher: Client, cast: Cast, floor: Floor, place: str
) -> None:
    before = main_of(teacher.get(place))
    assert "<b>Safety agreement</b>: missing for this school year." in before
    assert f'<a href="/people/{cast.section.pk}/">Record it</a>' in before
    assert "<b>General shop safety</b>: not started." in before
    floor.make_ready(cast.student)
    page = main_of(teacher.get(place))
    assert f"<b>Safety agreement</b>: signed September 12, 2026, recorded by {cast.teacher.name}." in page
    assert "<b>General shop safety</b>: passed on October 7, 2026." in page
    assert "<b>Band saw</b>" not in page  # its own quiz stands at the machine
    assert "General shop safety</b>" not in main_of(teacher.get(place, {"at": "2026-10-11T12:00"}))


def test_query_count_is_constant_for_many_machines_and_quizzes(
    teacher: Client, cast: Cast, floor: Floor, place: str
) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as caught:
            teacher.get(place)
        return len(caught)

    few = asked()
    shared = [EditionFactory(bank=BankFactory(school=cast.school)).bank for _ in range(4)]
    for number in range(10, 20):
        kind = KindFactory(school=cast.school)
        asks(kind, floor.general, *shared, kind.bank)
        MachineFactory(shop=cast.shop, kind=kind, number=number)
    assert asked() == few
    assert main_of(teacher.get(place)).count(": not started.") == 5


def test_a_cell_names_who_acts_next_and_what_it_rests_on(teacher: Client, cast: Cast, floor: Floor, place: str) -> None:
    floor.make_ready(cast.student)
    page = main_of(teacher.get(f"{place}{floor.saw_2.pk}/"))
    assert "Ready for sign-off" in page
    assert "The safety agreement for this school year is in." in page
    assert f"/machines/{floor.saw_2.pk}/sign-off/{cast.student.pk}/" in page


def test_past_tag_out_is_shown_only_for_its_moment(teacher: Client, cast: Cast, floor: Floor, place: str) -> None:
    floor.make_cleared(cast.student)
    row = tag_out(
        machine=floor.saw_2, reason="Blade cracked.", by=cast.teacher, tap=uuid4(), at=NOON - timedelta(days=2)
    )
    cell = f"{place}{floor.saw_2.pk}/"
    for path in (place, cell):
        assert "Tagged out. No one may use it." in main_of(teacher.get(path))
    returned(row, cast.teacher, NOON - timedelta(hours=1))
    for path in (place, cell):
        assert "agged out" not in main_of(teacher.get(path))
        past_page = main_of(teacher.get(path, {"at": "2026-10-11T12:00"}))
        assert "It was tagged out then. No one was allowed to use it." in past_page
    assert "Why yes" not in main_of(teacher.get(cell, {"at": "2026-10-11T12:00"}))


def test_horseplay_stops_the_student_once_however_often_it_is_pressed(
    teacher: Client, cast: Cast, floor: Floor, place: str
) -> None:
    sent = {"tap": str(uuid4())}
    for _ in range(2):
        assert teacher.post(f"{place}horseplay/", sent).status_code == 302
    [hold] = Hold.objects.all()
    assert (hold.student, hold.everywhere, hold.reason) == (cast.student, True, "horseplay")
    page = main_of(teacher.get(place))
    assert "On hold since 12:00 PM" in page
    assert "Horseplay: out of the shop" not in page
    assert f'href="/holds/{hold.pk}/lift/"' in page


def test_a_hold_for_horseplay_of_an_earlier_day_says_which(
    teacher: Client, cast: Cast, floor: Floor, place: str
) -> None:
    asked = {"student": cast.student, "machines": None, "reason": "horseplay", "lifts": "talk", "tap": uuid4()}
    place_hold(**asked, by=cast.teacher, at=NOON - timedelta(days=1))
    assert "On hold since October 11, 2026, 12:00 PM" in main_of(teacher.get(place))


def test_another_hold_leaves_the_button_for_horseplay(teacher: Client, cast: Cast, floor: Floor, place: str) -> None:
    asked = {"student": cast.student, "reason": "horseplay", "lifts": "talk", "tap": uuid4(), "at": NOON}
    place_hold(**asked, machines=[floor.saw_2], by=cast.teacher)
    assert "Horseplay: out of the shop" in main_of(teacher.get(place))


def test_grown_ups_read_of_a_hold_in_plain_words(teacher: Client, cast: Cast, floor: Floor, place: str) -> None:
    asked = {"student": cast.student, "reason": "misuse", "lifts": "talk", "tap": uuid4(), "at": NOON}
    place_hold(**asked, machines=None, by=cast.teacher)
    for page in (main_of(teacher.get(place)), main_of(teacher.get(f"{place}{floor.saw_2.pk}/"))):
        assert f"On hold, placed by {cast.teacher.name}. A talk with the student lifts it." in page
        assert "paused" not in page


def test_a_substitute_finds_nothing_to_press(client: Client, cast: Cast, floor: Floor, place: str) -> None:
    client.force_login(cast.substitute)
    page = main_of(client.get(place))
    assert cast.student.name in page
    assert "<button" not in page


def test_a_substitute_is_led_to_no_page_that_refuses(client: Client, cast: Cast, floor: Floor, place: str) -> None:
    floor.make_cleared(cast.student)
    client.force_login(cast.substitute)
    assert "/logbook/" not in main_of(client.get(f"{place}{floor.saw_2.pk}/"))
    page = main_of(client.get(f"/classes/{cast.section.pk}/register/"))
    assert "CSV" not in page
    assert "Nothing runs unless the substitute sheet says so." in page


@pytest.mark.parametrize("address", ["{section}/register/{stranger}/", "{far}/register/{stranger}/"])
def test_student_or_class_of_another_school_returns_404(teacher: Client, cast: Cast, address: str) -> None:
    parts = {"section": cast.section.pk, "far": cast.stranger_section.pk, "stranger": cast.stranger_student.pk}
    assert teacher.get("/classes/" + address.format(**parts)).status_code == 404


def test_cell_of_another_schools_machine_returns_404(teacher: Client, cast: Cast, floor: Floor, place: str) -> None:
    assert teacher.get(f"{place}{floor.far_saw.pk}/").status_code == 404
