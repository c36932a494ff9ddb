"""What machines ask for: the page shows it, looks ahead before anything is set, and refuses circles by name."""

from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client

from machines.clearance.loading import asked_by_machine
from machines.models import Requirements
from tests.acts.reading import last_entry
from tests.factories.machines import NOON, Floor, asks, signed

TOMORROW = "2026-10-13"


@pytest.fixture
def page(floor: Floor, client: Client) -> Any:
    with time_machine.travel(NOON, tick=False):
        client.force_login(floor.cast.teacher)
        yield Page(floor, client)


class Page:
    def __init__(self, floor: Floor, client: Client) -> None:
        self.floor, self.client = floor, client
        self.path = f"/kinds/{floor.saw.pk}/requirements/"

    def send(self, step: str, path: str = "", **changed: Any) -> Any:
        """The form as it was opened, with some answers changed."""
        form = self.client.get(path or self.path).context["form"]
        answers = {name: value for name, value in form.initial.items() if value is not None and value is not False}
        return self.client.post(path or self.path, answers | changed | {"step": step})


def test_the_list_shows_what_each_kind_asks_for_and_the_drawing(page: Page):
    asks(page.floor.drill, page.floor.saw)
    page_text = page.client.get("/kinds/").content.decode()
    assert "Quiz: General shop safety" in page_text
    assert "<b>Drill press</b> asks for band saw first." in page_text
    assert "<svg" in page_text


def test_opens_with_what_is_asked_now(page: Page):
    form = page.client.get(page.path).context["form"]
    assert form.initial["banks"] == [page.floor.general.pk, page.floor.saw_bank.pk]
    assert form["documents"].value() == ["agreement"]


def test_looking_says_who_loses_and_writes_nothing(page: Page):
    page.floor.make_cleared(page.floor.cast.student)
    rows = Requirements.objects.count()
    answer = page.send("look", kinds=[page.floor.drill.pk])
    page_text = answer.content.decode()
    assert answer.status_code == 200
    assert "1 student loses a clearance" in page_text
    assert page.floor.cast.student.name in page_text
    assert "band saw 2" in page_text
    assert Requirements.objects.count() == rows


def test_looking_says_who_gains(page: Page):
    page.floor.make_ready(page.floor.cast.classmate)
    signed(page.floor.cast.classmate, page.floor.saw_3, page.floor.cast.teacher)
    asks(page.floor.saw, page.floor.drill, holds_from=NOON - timedelta(days=1))
    page_text = page.send("look", kinds=[], demonstration="kind").content.decode()
    assert "1 student is cleared" in page_text


def test_another_teachers_students_are_counted_and_not_named(page: Page):
    page.floor.make_cleared(page.floor.cast.student)
    page.floor.cast.section.teachers.clear()
    page.floor.cast.shop.teachers.remove(page.floor.cast.teacher)
    other = page.floor.cast.other_teacher
    shop = other.shops.get()
    page.floor.saw_3.shop = shop
    page.floor.saw_3.save()
    page.client.force_login(other)
    page_text = page.send("look", kinds=[page.floor.drill.pk]).content.decode()
    assert "1 student loses a clearance" in page_text
    assert "1 of them in other teachers" in page_text
    assert page.floor.cast.student.name not in page_text


def test_is_set_from_the_day_that_is_chosen(page: Page):
    answer = page.send("set", kinds=[page.floor.drill.pk], from_day=TOMORROW, refresh_days="30")
    assert answer.status_code == 302
    row = Requirements.objects.order_by("pk").last()
    assert row is not None
    assert row.holds_from.isoformat() == "2026-10-13T05:00:00+00:00"
    assert (row.refresh_days, row.set_by) == (30, page.floor.cast.teacher)
    school = page.floor.cast.school.pk
    before = asked_by_machine(school, row.holds_from - timedelta(seconds=1))[page.floor.saw_2.pk]
    assert before.first == ()
    assert [first.name for first in asked_by_machine(school, row.holds_from)[page.floor.saw_2.pk].first] == [
        "drill press"
    ]


def test_the_logbook_keeps_what_was_asked_before(page: Page):
    page.send("set", banks=[page.floor.saw_bank.pk], from_day=TOMORROW)
    kind, payload = last_entry()
    assert kind == "requirements.set"
    assert [bank["name"] for bank in payload["banks"]] == ["Band saw"]
    assert [bank["name"] for bank in payload["before"]["banks"]] == ["General shop safety", "Band saw"]


def test_from_today_holds_from_now(page: Page):
    page.send("set", documents=[], from_day="2026-10-12")
    row = Requirements.objects.order_by("pk").last()
    assert row is not None
    assert row.holds_from == NOON


@pytest.mark.parametrize(
    ("day", "says"),
    [("2026-10-11", "a day that has passed"), ("", "Enter the first day"), ("soon", "Give the day")],
)
def test_invalid_day_shows_an_error_and_sets_nothing(page: Page, day: str, says: str):
    rows = Requirements.objects.count()
    answer = page.send("set", from_day=day)
    assert answer.status_code == 422
    assert says in answer.content.decode()
    assert Requirements.objects.count() == rows


def test_a_circle_is_refused_when_it_is_drawn_with_its_path(page: Page):
    asks(page.floor.drill, page.floor.saw)
    answer = page.send("look", kinds=[page.floor.drill.pk])
    assert answer.status_code == 409
    assert "band saw → drill press → band saw" in answer.content.decode()


def test_stale_change_is_refused_with_the_name_of_the_other_teacher(page: Page):
    seen = page.client.get(page.path).context["page"].seen
    page.client.force_login(page.floor.cast.colleague)
    page.send("set", kinds=[page.floor.drill.pk], from_day=TOMORROW)
    page.client.force_login(page.floor.cast.teacher)
    answer = page.send("set", refresh_days="9", from_day=TOMORROW, seen=seen)
    assert answer.status_code == 409
    assert page.floor.cast.colleague.name in answer.content.decode()
    assert not Requirements.objects.filter(refresh_days=9).exists()


def test_the_same_change_sent_twice_is_one(page: Page):
    seen = page.client.get(page.path).context["page"].seen
    for _ in range(2):
        assert page.send("set", refresh_days="9", from_day=TOMORROW, seen=seen).status_code == 302
    assert Requirements.objects.filter(refresh_days=9).count() == 1


def test_one_machine_may_ask_for_more_and_follow_its_kind_again(page: Page):
    path = f"{page.path}{page.floor.saw_3.pk}/"
    page.send("set", path, as_kind="own", kinds=[page.floor.drill.pk], from_day="2026-10-12")
    asked = asked_by_machine(page.floor.cast.school.pk, NOON)
    assert [first.name for first in asked[page.floor.saw_3.pk].first] == ["drill press"]
    assert asked[page.floor.saw_2.pk].first == ()
    assert "Band saw 3 asks for something else." in page.client.get("/kinds/").content.decode()
    page.send("set", path, as_kind="kind", from_day="2026-10-12")
    next_moment = NOON + timedelta(
        seconds=1
    )  # the clock stands still here, so the second act follows the first by a moment
    assert asked_by_machine(page.floor.cast.school.pk, next_moment)[page.floor.saw_3.pk].first == ()


def test_requirement_of_another_school_cannot_be_checked(page: Page):
    answer = page.send("look", kinds=[page.floor.far_saw.kind_id])
    assert answer.status_code == 422
    assert page.client.get(f"/kinds/{page.floor.far_saw.kind_id}/requirements/").status_code == 404
