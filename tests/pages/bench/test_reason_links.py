"""Each reason says who acts next and leads there, for its reader."""

import re
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
import time_machine
from django.test import Client

from machines.clearance.facts import NextActor, Reason
from machines.clearance.links import link_of
from machines.holds.acts import place_hold
from shopsafe.school.models import Enrollment
from tests.factories.machines import NOON, Floor, asks

LINKS = ["quiz", "refresher", "accept", "bench", "sign-off", "document", "hold", "hold-rules", "hold-quiz"]


def links_in(page: str) -> list[tuple[str, str]]:
    """Who acts next, and where the link beside it leads; of the reasons alone."""
    reasons_match = re.search(r'<ol class="reasons">(.*?)</ol>', page, re.DOTALL)
    assert reasons_match
    lines = [re.search(r'<b>(\w+)</b>.*<a href="([^"]+)"', line, re.DOTALL) for line in reasons_match[1].split("<li>")]
    return [(line[1], line[2]) for line in lines if line]


def cell(client: Client, floor: Floor, who: Any, query: str = "") -> str:
    with time_machine.travel(NOON, tick=False):
        client.force_login(who)
        path = f"/classes/{floor.cast.section.pk}/register/{floor.cast.student.pk}/{floor.saw_2.pk}/{query}"
        return client.get(path).content.decode()


def test_a_teacher_is_led_to_each_thing_that_is_missing(floor: Floor, client: Client):
    asks(floor.saw, floor.general, floor.saw_bank, floor.drill)
    place_hold(
        student=floor.cast.student, machines=[floor.saw_2], reason="dress", lifts="talk", by=floor.cast.teacher,
        tap=uuid4(), at=NOON - timedelta(hours=1),
    )  # fmt: skip
    hold = floor.cast.student.holds.get()
    assert links_in(cell(client, floor, floor.cast.teacher)) == [
        ("Teacher", f"/holds/{hold.pk}/lift/"),
        ("Guardian", f"/people/{floor.cast.section.pk}/"),
        ("Student", f"/rules/{floor.general.pk}/"),
        ("Student", f"/classes/{floor.cast.section.pk}/register/{floor.cast.student.pk}/"),
        ("Student", f"/rules/{floor.saw_bank.pk}/"),
    ]


def test_the_sign_off_is_linked_once_its_turn_has_come(floor: Floor, client: Client):
    floor.make_ready(floor.cast.student)
    sign_off = f"/machines/{floor.saw_2.pk}/sign-off/{floor.cast.student.pk}/"
    assert links_in(cell(client, floor, floor.cast.teacher)) == [("Teacher", sign_off)]


def test_past_day_shows_no_next_step(floor: Floor, client: Client):
    page = cell(client, floor, floor.cast.teacher, "?at=2026-10-01T09:00")
    assert links_in(page) == []
    assert "Every answer must be right." in page


def test_the_office_records_an_agreement_and_a_substitute_only_reads(floor: Floor, client: Client):
    assert links_in(cell(client, floor, floor.cast.office)) == [("Guardian", f"/people/{floor.cast.section.pk}/")]
    assert links_in(cell(client, floor, floor.cast.substitute)) == []


def test_a_student_is_led_to_the_quiz_from_the_machine(floor: Floor, client: Client):
    Enrollment.objects.filter(student=floor.cast.student).update(from_day=NOON.date())
    with time_machine.travel(NOON, tick=False):
        client.force_login(floor.cast.student)
        page = client.get(f"/machines/{floor.saw_2.pk}/").content.decode()
    assert links_in(page) == [("You", f"/quizzes/{floor.general.pk}/"), ("You", f"/quizzes/{floor.saw_bank.pk}/")]


@pytest.mark.parametrize("link", LINKS)
def test_next_step_of_a_student_or_teacher_has_a_link(floor: Floor, link: str):
    """The person who acts next finds a link, but for what is only said: show your teacher, hand in the agreement."""
    reason = Reason("code", NextActor.TEACHER, "Sentence.", link, "7")
    where = {"student": floor.cast.student.pk, "machine": floor.saw_2.pk}
    assert link_of(reason, floor.cast.teacher, section=floor.cast.section.pk, **where) is not None
    assert (link_of(reason, floor.cast.student, **where) is None) == (link in ("sign-off", "document"))
