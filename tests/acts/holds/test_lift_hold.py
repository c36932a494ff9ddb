"""Each way to lift a hold: what the student does, who lifts it, and what is refused before that."""

import uuid
from datetime import timedelta
from typing import Any

import pytest
from django.http import Http404

from machines.clearance.facts import Standing
from machines.clearance.queries import answer_for
from machines.holds.acts import learn_held_rule, lift_hold, place_hold
from machines.models import Hold
from quizzes.relearning.opened_card import note_opened
from shopsafe.logbook.models import Entry
from tests.acts.reading import code_of, last_entry
from tests.factories.banks import take
from tests.factories.machines import NOON, Floor

MINUTE = timedelta(minutes=1)


def place(floor: Floor, lifts: str, **changes: Any) -> Hold:
    asked: dict[str, Any] = {
        "student": floor.cast.student, "machines": [floor.saw_2], "reason": "misuse", "lifts": lifts,
        "by": floor.cast.teacher, "tap": uuid.uuid4(), "at": NOON,
    }  # fmt: skip
    return place_hold(**(asked | changes))


def learn(floor: Floor, hold: Hold, rule: str, word: str = "guard", **changes: Any) -> bool:
    asked = {"student": floor.cast.student, "hold": hold, "rule": rule, "word": word, "at": NOON + MINUTE} | changes
    opened = note_opened(asked["student"].pk, f"hold {hold.pk}", rule, NOON)
    return learn_held_rule(**({"opened": opened} | asked))


def lift(hold: Hold, by: Any, at: Any = NOON + 9 * MINUTE, **more: Any) -> Hold:
    return lift_hold(hold=hold, by=by, words="Done.", at=at, **more)


def said_to_student(floor: Floor, at: Any) -> str:
    return answer_for(floor.cast.student, floor.saw_2, at).reasons[0].sentence


def test_rules_learned_again_let_the_teacher_lift_it(floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    hold = place(floor, "rules", bank=floor.saw_bank, rules=["r0", "r2"])
    assert hold.what_lifts_it == "Learning rules again: Band saw, 2 rules."
    assert "Learn its rules again." in said_to_student(floor, NOON)
    assert code_of(lift, hold, floor.cast.teacher) == "hold.not-done"
    assert learn(floor, hold, "r0")
    assert code_of(lift, hold, floor.cast.teacher) == "hold.not-done"
    assert learn(floor, hold, "r2", at=NOON + 5 * MINUTE)
    assert last_entry()[0] == "hold.rule_learned"
    assert answer_for(floor.cast.student, floor.saw_2, NOON + 6 * MINUTE).standing is Standing.ON_HOLD
    assert "You have done your part." in said_to_student(floor, NOON + 6 * MINUTE)
    assert "Learn its rules again." in said_to_student(floor, NOON + 2 * MINUTE)
    lift(hold, floor.cast.teacher)
    assert answer_for(floor.cast.student, floor.saw_2, NOON + 9 * MINUTE).cleared


def test_wrong_word_learns_nothing_and_second_review_changes_nothing(floor: Floor) -> None:
    hold = place(floor, "rules", bank=floor.saw_bank, rules=["r0"])
    assert not learn(floor, hold, "r0", word="a banana")
    assert Hold.objects.get().learned == {}
    assert learn(floor, hold, "r0")
    entries = Entry.objects.count()
    assert learn(floor, hold, "r0", word="whatever")
    assert Entry.objects.count() == entries


def test_only_a_new_quiz_pass_lets_the_teacher_lift_the_hold(floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    hold = place(floor, "quiz", bank=floor.saw_bank)
    assert "Take its quiz again." in said_to_student(floor, NOON)
    take(floor.cast.student, floor.saw_bank, NOON + MINUTE, refresher=True)
    assert code_of(lift, hold, floor.cast.teacher) == "hold.not-done"
    again = take(floor.cast.student, floor.saw_bank, NOON + 10 * MINUTE, again=True)
    assert (again.purpose, again.perfect) == ("quiz", True)
    lift(hold, floor.cast.teacher, NOON + 20 * MINUTE)
    assert answer_for(floor.cast.student, floor.saw_2, NOON + 20 * MINUTE).cleared


def test_a_teacher_may_lift_it_all_the_same_and_that_is_recorded(floor: Floor) -> None:
    hold = place(floor, "rules", bank=floor.saw_bank, rules=["r0"])
    lift(hold, floor.cast.teacher, anyway=True)
    kind, payload = last_entry()
    assert (kind, payload["not_done"]) == ("hold.lifted", "1 rule card of Band saw not read and recalled yet.")


def test_office_hold_is_lifted_by_the_office_only(floor: Floor) -> None:
    hold = place(floor, "office", reason="injury")
    assert "The office decides." in said_to_student(floor, NOON)
    assert code_of(lift, hold, floor.cast.teacher) == "hold.office"
    lift(hold, floor.cast.office)
    assert Hold.objects.get().lifted_by == floor.cast.office


def test_the_office_lifts_no_other_hold(floor: Floor) -> None:
    assert code_of(lift, place(floor, "talk"), floor.cast.office) == "access.not-yours"


@pytest.mark.parametrize("rules", [[], ["r9"], ["r0", "r9"]])
def test_rules_must_be_of_the_quiz(floor: Floor, rules: list[str]) -> None:
    assert code_of(place, floor, "rules", bank=floor.saw_bank, rules=rules) == "hold.no-rules"
    assert not Hold.objects.exists()


def test_a_quiz_of_another_school_is_refused(floor: Floor) -> None:
    assert code_of(place, floor, "quiz", bank=floor.far_saw.kind.bank) == "hold.elsewhere"


def test_no_one_else_learns_it_for_the_student(floor: Floor) -> None:
    hold = place(floor, "rules", bank=floor.saw_bank, rules=["r0"])
    for person in (floor.cast.classmate, floor.cast.stranger_student):
        with pytest.raises(Http404):
            learn(floor, hold, "r0", student=person)
    assert code_of(learn, floor, hold, "r0", student=floor.cast.teacher) == "access.not-yours"
    assert code_of(learn, floor, hold, "r1") == "hold.no-rules"
    lift(hold, floor.cast.teacher, anyway=True)
    assert code_of(learn, floor, hold, "r0", at=NOON + 20 * MINUTE) == "hold.lifted-already"
    assert Hold.objects.get().learned == {}
