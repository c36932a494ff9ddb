"""A clearance that will lapse is announced on the bench, and a short refresher keeps it or brings it back."""

from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client

from machines.clearance.facts import Standing
from machines.clearance.queries import answer_for
from machines.clearance.rules.wording import day
from quizzes.attempts.acts import hand_in
from quizzes.models import Attempt
from shopsafe.logbook.sentences import sentence
from tests.acts.reading import last_entry
from tests.factories.banks import answer_all
from tests.factories.machines import NOON, Floor, asks

DAY = timedelta(days=1)
LAST = "November 6, 2026"  # 28 days after the sign-off of 9 October


@pytest.fixture
def lapsing(floor: Floor) -> Floor:
    floor.make_cleared(floor.cast.student)
    asks(floor.saw, floor.general, floor.saw_bank, refresh_days=28)
    return floor


def bench(client: Client, floor: Floor, at: Any) -> str:
    with time_machine.travel(at, tick=False):
        client.force_login(floor.cast.student)
        return client.get("/bench/").content.decode()


def refresh(client: Client, floor: Floor, at: Any, wrong: tuple[str, ...] = ()) -> Attempt:
    with time_machine.travel(at, tick=False):
        client.force_login(floor.cast.student)
        page = client.get(f"/quizzes/{floor.saw_bank.pk}/?refresher=1").content.decode()
        assert "There are only 3 questions." in page
        client.post(f"/quizzes/{floor.saw_bank.pk}/start/", {"purpose": "refresher"})
    attempt = Attempt.objects.get(handed_in_at=None)
    answer_all(attempt, at, wrong)
    return hand_in(student=floor.cast.student, attempt=attempt.pk, at=at)


def test_the_bench_tells_it_fourteen_days_ahead_and_not_before(lapsing: Floor, client: Client):
    notice = f"Your band saw clearance expires on {LAST}: a short refresher keeps it."
    assert notice in bench(client, lapsing, NOON + 12 * DAY)
    early = bench(client, lapsing, NOON + 9 * DAY)
    assert f"until {LAST}" in early
    assert "refresher" not in early


def test_a_perfect_refresher_renews_the_date_and_nothing_else(lapsing: Floor, client: Client):
    attempt = refresh(client, lapsing, NOON + 20 * DAY)
    assert (attempt.purpose, attempt.perfect, attempt.asked) == ("refresher", True, 3)
    answer = answer_for(lapsing.cast.student, lapsing.saw_2, NOON + 40 * DAY)
    assert answer.cleared
    with time_machine.travel(NOON + 20 * DAY, tick=False):
        page = client.get(f"/attempts/{attempt.pk}/result/").content.decode()
    assert "You are cleared on band saw 2 until November 29, 2026." in page
    assert answer.ending is not None
    assert day(answer.ending.last_moment, "America/Chicago") == "November 29, 2026"
    assert not answer_for(lapsing.cast.student, lapsing.saw_3, NOON + 21 * DAY).cleared


def test_after_the_lapse_it_brings_the_clearance_back(lapsing: Floor, client: Client):
    at = NOON + 30 * DAY
    assert answer_for(lapsing.cast.student, lapsing.saw_2, at).standing is Standing.LAPSED
    assert "A short refresher brings it back." in bench(client, lapsing, at)
    refresh(client, lapsing, at)
    assert answer_for(lapsing.cast.student, lapsing.saw_2, at + DAY).cleared


def test_machine_page_offers_the_refresher_that_the_bench_offers(lapsing: Floor, client: Client):
    bench(client, lapsing, NOON + 30 * DAY)
    with time_machine.travel(NOON + 30 * DAY, tick=False):
        page = client.get(f"/machines/{lapsing.saw_2.pk}/").content.decode()
    assert "Do the refresher, or show your teacher." in page
    assert f'/quizzes/{lapsing.saw_bank.pk}/?refresher=1"' in page


def test_a_miss_is_learned_again_and_renews_nothing(lapsing: Floor, client: Client):
    at = NOON + 30 * DAY
    assert not refresh(client, lapsing, at, wrong=("r0",)).perfect
    assert answer_for(lapsing.cast.student, lapsing.saw_2, at + DAY).standing is Standing.LAPSED
    assert "1 rule to learn again" in bench(client, lapsing, at)


def test_the_result_sends_no_one_to_show_again(lapsing: Floor, client: Client):
    attempt = refresh(client, lapsing, NOON + 20 * DAY)
    with time_machine.travel(NOON + 20 * DAY, tick=False):
        page = client.get(f"/attempts/{attempt.pk}/result/").content.decode()
    assert "Your refresher is done." in page
    assert "You may not use it yet" not in page


def test_the_logbook_calls_it_a_refresher(lapsing: Floor, client: Client):
    refresh(client, lapsing, NOON + 20 * DAY)
    assert "in the Band saw refresher, edition 1, 3 of 3 right" in sentence(*last_entry())


def test_student_without_a_pass_gets_the_quiz(floor: Floor, client: Client):
    client.force_login(floor.cast.classmate)
    page = client.get(f"/quizzes/{floor.saw_bank.pk}/?refresher=1").content.decode()
    assert "Start the quiz" in page
    assert "refresher" not in page
