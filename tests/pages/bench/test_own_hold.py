"""A student's own hold in kind words, its rules learned card by card; the teacher chooses them and sees it done."""

import uuid
from typing import Any

import time_machine
from django.test import Client

from machines.holds.acts import place_hold
from machines.models import Hold
from tests.factories.banks import take
from tests.factories.holds import held_to_learn
from tests.factories.machines import NOON, Floor
from tests.pages.notes import note_on


def hold_form(floor: Floor) -> str:
    return f"/classes/{floor.cast.section.pk}/register/{floor.cast.student.pk}/hold/"


def said(**changes: Any) -> dict[str, Any]:
    return {"tap": str(uuid.uuid4()), "where": "all", "reason": "misuse", "words": "", "lifts": "talk"} | changes


def test_the_rules_are_offered_once_the_quiz_is_chosen(floor: Floor, client: Client):
    client.force_login(floor.cast.teacher)
    asked = said(lifts="rules", bank=floor.saw_bank.pk)
    answer = client.post(hold_form(floor), asked)
    assert answer.status_code == 422
    assert "Keep rule number 1." in answer.content.decode()
    assert not Hold.objects.exists()
    assert client.post(hold_form(floor), asked | {"rules": ["r1"]}).status_code == 302
    hold = Hold.objects.get()
    assert (hold.rules, hold.bank) == (["r1"], floor.saw_bank)


def test_a_student_learns_the_rules_and_the_teacher_sees_it(floor: Floor, client: Client):
    hold = held_to_learn(floor.cast)
    client.force_login(floor.cast.student)
    bench = client.get("/bench/").content.decode()
    assert f"/holds/{hold.pk}/" in bench
    page = client.get(f"/holds/{hold.pk}/").content.decode()
    assert "2 rules to learn again." in page
    for number in (1, 2):
        address = f"/holds/{hold.pk}/rules/{number}/"
        opened = note_on(client.get(address), "covered")
        card = client.get(address, {"covered": opened})
        assert "guard" not in card.content.decode()
        assert note_on(card, "opened") == opened
        wrong = client.post(address, {"said": "banana", "opened": opened})
        assert wrong.status_code == 422
        assert note_on(wrong, "opened") == opened
        assert client.post(address, {"said": "guard", "opened": opened}).status_code == 302
    assert "You have done your part." in client.get(f"/holds/{hold.pk}/").content.decode()
    client.force_login(floor.cast.teacher)
    lift = client.get(f"/holds/{hold.pk}/lift/").content.decode()
    assert "The student has done it." in lift
    assert client.post(f"/holds/{hold.pk}/lift/", {"words": "Rules learned again."}).status_code == 302
    assert Hold.objects.get().lifted_at is not None


def test_card_of_a_hold_is_not_covered_when_it_was_not_opened(floor: Floor, client: Client):
    hold = held_to_learn(floor.cast)
    client.force_login(floor.cast.student)
    first, second = (f"/holds/{hold.pk}/rules/{number}/" for number in (1, 2))
    of_the_first_card = note_on(client.get(first), "covered")
    for note in ("1", "", of_the_first_card):
        assert "Keep rule number" in client.get(second, {"covered": note}).content.decode()
        assert client.post(second, {"said": "guard", "opened": note}).status_code == 409
    assert Hold.objects.get().learned == {}


def test_unfinished_hold_is_lifted_only_on_confirmation(floor: Floor, client: Client):
    hold = held_to_learn(floor.cast)
    client.force_login(floor.cast.teacher)
    answer = client.post(f"/holds/{hold.pk}/lift/", {"words": "We talked."})
    assert answer.status_code == 409
    assert "2 rule cards of Wood lathe not read and recalled yet." in answer.content.decode()
    assert client.post(f"/holds/{hold.pk}/lift/", {"words": "We talked.", "anyway": "on"}).status_code == 302


def test_a_quiz_to_take_again_opens_although_it_was_passed(floor: Floor, client: Client):
    with time_machine.travel(NOON, tick=False):
        take(floor.cast.student, floor.saw_bank)
        hold = place_hold(
            student=floor.cast.student, machines=None, reason="misuse", lifts="quiz", bank=floor.saw_bank,
            by=floor.cast.teacher, tap=uuid.uuid4(), at=NOON,
        )  # fmt: skip
        client.force_login(floor.cast.student)
        assert f"/quizzes/{floor.saw_bank.pk}/?again=1" in client.get(f"/holds/{hold.pk}/").content.decode()
        page = client.get(f"/quizzes/{floor.saw_bank.pk}/?again=1").content.decode()
        assert 'name="purpose" value="again"' in page
        assert client.post(f"/quizzes/{floor.saw_bank.pk}/start/", {"purpose": "again"}).status_code == 302


def test_the_office_lifts_what_it_decides_and_sees_no_other(floor: Floor, client: Client):
    def place(lifts: str) -> Hold:
        return place_hold(
            student=floor.cast.student, machines=None, reason="injury", lifts=lifts, by=floor.cast.teacher,
            tap=uuid.uuid4(), at=NOON,
        )  # fmt: skip

    decided, talk = place("office"), place("talk")
    client.force_login(floor.cast.office)
    assert client.get(f"/holds/{talk.pk}/lift/").status_code == 404
    assert client.post(f"/holds/{decided.pk}/lift/", {"words": "The doctor says yes."}).status_code == 302
    client.force_login(floor.cast.teacher)
    assert "The office decides about this hold" in client.get(f"/holds/{place('office').pk}/lift/").content.decode()
