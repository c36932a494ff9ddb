"""After the server's clock was set back: records of that hour count on every page, and staff read of it."""

import uuid
from collections.abc import Iterator
from datetime import timedelta

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from machines.holds.acts import place_hold
from shopsafe.school.models import Person
from tests.factories.machines import NOON, Floor

HOUR = timedelta(hours=1)
WARNING = "The clock of this server is behind"


@pytest.fixture
def held(floor: Floor) -> Iterator[Floor]:
    """A cleared student was put on hold at noon; then the clock was set back by an hour."""
    with time_machine.travel(NOON, tick=False) as clock:
        floor.make_cleared(floor.cast.student)
        who = {"student": floor.cast.student, "by": floor.cast.teacher}
        place_hold(machines=None, reason="injury", lifts="office", tap=uuid.uuid4(), **who)
        clock.move_to(NOON - HOUR)
        yield floor


def page(client: Client, person: Person, path: str) -> str:
    client.force_login(person)
    response = client.get(path)
    assert response.status_code == 200
    return response.content.decode()


def test_register_shows_the_hold(held: Floor, client: Client) -> None:
    path = reverse("student-standings", args=[held.cast.section.pk, held.cast.student.pk])
    assert "An injury is being looked into" in page(client, held.cast.teacher, path)


def test_student_is_not_cleared_on_their_own_page(held: Floor, client: Client) -> None:
    machines = page(client, held.cast.student, "/bench/")
    assert 'class="on-hold"' in machines
    assert 'class="cleared"' not in machines


@pytest.mark.parametrize("role", ["teacher", "substitute", "office"])
def test_staff_see_both_times(held: Floor, client: Client, role: str) -> None:
    page_text = page(client, getattr(held.cast, role), reverse("registers"))
    assert WARNING in page_text
    assert "October 12, 2026, 11:00 AM" in page_text
    assert "October 12, 2026, 12:00 PM" in page_text


def test_students_see_no_warning(held: Floor, client: Client) -> None:
    assert WARNING not in page(client, held.cast.student, "/bench/")


def test_warning_disappears_when_the_clock_is_right(held: Floor, client: Client) -> None:
    with time_machine.travel(NOON + HOUR, tick=False):
        assert WARNING not in page(client, held.cast.teacher, reverse("registers"))
