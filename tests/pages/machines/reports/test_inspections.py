"""Inspections on their pages: what is due, a list gone through, the list set, the history, and the calendar."""

from datetime import timedelta

import icalendar
import pytest
from django.test import Client

from machines.models import Inspection, InspectionCalendar, InspectionList
from machines.reports.facts import Interval
from machines.reports.inspections.acts.lists import start_inspections
from tests.cast import Cast
from tests.counting import queries
from tests.factories.machines import NOON, Floor, MachineFactory
from tests.factories.reports.inspections import sent_answers
from tests.pages.machines.reading import main_of

FRIDAY = NOON - timedelta(days=3)


@pytest.fixture
def shop(cast: Cast, floor: Floor) -> Floor:
    start_inspections(shop=cast.shop, by=cast.teacher, at=FRIDAY)
    return floor


def test_begins_with_one_press(teacher: Client, cast: Cast, floor: Floor) -> None:
    page = main_of(teacher.get("/inspections/"))
    assert "2 machine types without inspections." in " ".join(page.split())
    assert teacher.post(f"/shops/{cast.shop.pk}/inspections/start/").status_code == 302
    assert InspectionList.objects.count() == 2
    assert "without inspections" not in main_of(teacher.get("/inspections/"))


def test_due_lists_are_on_today_and_leave_once_gone_through(teacher: Client, shop: Floor) -> None:
    address = f"/machines/{shop.saw_2.pk}/inspect/weekly/"
    assert address in main_of(teacher.get("/today/needs/"))
    sent = sent_answers(shop.saw_2, Interval.WEEKLY)
    assert teacher.post(address, {**sent, "line-0": ""}).status_code == 422
    for _ in range(2):
        assert teacher.post(address, sent).status_code == 302
    assert Inspection.objects.count() == 1
    assert address not in main_of(teacher.get("/today/needs/"))


def test_a_no_sends_the_teacher_to_the_machine_that_is_kept_off(teacher: Client, shop: Floor) -> None:
    sent = {**sent_answers(shop.saw_2, Interval.WEEKLY), "line-0": "no"}
    response = teacher.post(f"/machines/{shop.saw_2.pk}/inspect/weekly/", sent, follow=True)
    page = " ".join(main_of(response).split())
    assert "Keep off until the teacher looks." in page
    assert "Look at the report" in page
    assert "Keep off.</b>" in main_of(teacher.get("/inspections/")), "it is due again, and not only that"
    assert main_of(teacher.get("/reports/place/?keep=1")).count('<b class="out">') == 1


def test_list_without_lines_or_of_another_word_is_not_there(teacher: Client, shop: Floor) -> None:
    for interval in ("daily", "return", "yearly"):
        assert teacher.get(f"/machines/{shop.saw_2.pk}/inspect/{interval}/").status_code == 404


def test_teacher_changes_the_list_a_row_a_line(teacher: Client, shop: Floor) -> None:
    address = f"/kinds/{shop.saw.pk}/inspection-list/"
    page = main_of(teacher.get(address))
    assert "Guards and covers are whole, tight and in place. | 29 CFR 1910.212(a)(1)" in page
    seen = page.partition('name="seen" value="')[2].partition('"')[0]
    sent = {"daily": "The guard is on. | common practice\n\nThe floor is dry.", "weekly": "", "term": "", "seen": seen}
    assert teacher.post(address, sent).status_code == 302
    assert InspectionList.objects.latest("pk").lines["daily"] == [
        {"says": "The guard is on.", "source": "common practice"},
        {"says": "The floor is dry.", "source": "our shop"},
    ]
    assert teacher.post(address, {**sent, "daily": "The blade is sharp."}).status_code == 409, "an old page"


def test_service_is_recorded_and_listed(teacher: Client, floor: Floor) -> None:
    address = f"/machines/{floor.saw_2.pk}/history/"
    assert "No service is on record." in main_of(teacher.get(address))
    tap = main_of(teacher.get(address)).partition('name="tap" value="')[2].partition('"')[0]
    sent = {"day": "2026-10-09", "did": "Blade changed", "done_by": "Saw Service Co.", "parts": "Blade", "tap": tap}
    service = f"/machines/{floor.saw_2.pk}/service/"
    assert teacher.post(service, {**sent, "day": "2027-01-01"}).status_code == 422
    assert teacher.post(service, sent).status_code == 302
    page = " ".join(main_of(teacher.get(address)).split())
    assert "Blade changed Parts: Blade." in page
    assert "Last serviced on" in page


def test_calendar_is_read_by_another_parser_and_names_no_student(
    teacher: Client, client: Client, cast: Cast, shop: Floor
) -> None:
    shop.make_cleared(cast.student)
    assert teacher.post(f"/shops/{cast.shop.pk}/calendar/").status_code == 302
    address = main_of(teacher.get("/inspections/")).partition('class="address" href="')[2].partition('"')[0]
    feed = Client().get(address)
    assert feed.headers["Content-Type"] == "text/calendar; charset=utf-8"
    parsed = icalendar.Calendar.from_ical(feed.content)
    events = {str(event["SUMMARY"]): event for event in parsed.walk("VEVENT")}
    assert "Inspect Band saw 2 (weekly)" in events
    assert events["Inspect Band saw 2 (weekly)"].decoded("DTSTART") == FRIDAY.date()
    assert not parsed.errors
    for name in (cast.student.given_name, cast.student.family_name, cast.teacher.name):
        assert name not in feed.content.decode()


def test_address_that_was_ended_or_made_up_is_not_there(teacher: Client, cast: Cast, shop: Floor) -> None:
    teacher.post(f"/shops/{cast.shop.pk}/calendar/")
    row = InspectionCalendar.objects.get()
    address = main_of(teacher.get("/inspections/")).partition('class="address" href="')[2].partition('"')[0]
    anybody = Client()
    assert anybody.get(f"/calendars/{row.pk}/{'0' * 64}/inspections.ics").status_code == 404
    assert anybody.get(address).status_code == 200
    cast.shop.teachers.remove(cast.teacher)
    assert anybody.get(address).status_code == 404, "its maker left the shop"
    cast.shop.teachers.add(cast.teacher)
    assert teacher.post(f"/calendars/{row.pk}/end/").status_code == 302
    assert anybody.get(address).status_code == 404


def test_number_of_queries_grows_with_no_machine(teacher: Client, cast: Cast, shop: Floor) -> None:
    with queries() as few:
        teacher.get("/inspections/")
    for number in range(10, 16):
        MachineFactory(shop=cast.shop, kind=shop.saw, number=number)
    with queries() as many:
        teacher.get("/inspections/")
    assert len(many) == len(few)
