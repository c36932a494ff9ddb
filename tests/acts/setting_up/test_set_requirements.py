"""What machines ask for: set from a day on, never for the past, and never in a circle."""

from datetime import timedelta
from typing import Any

import pytest

from machines.clearance.facts import Standing
from machines.clearance.loading import asked_by_machine, asks_at
from machines.clearance.queries import answer_for
from machines.models import MachineKind, Prerequisite, Requirements
from machines.setting_up.acts.requirements import count_once_for_kind, set_requirements
from shopsafe.logbook.models import Entry
from shopsafe.school.people.rules.documents import AGREEMENT
from shopsafe.school.refusals import Refused
from tests.acts.reading import code_of, last_entry
from tests.factories.machines import NOON, Floor, KindFactory, MachineFactory, signed
from tests.logbook.logbook_bypass import take_out

DAY = timedelta(days=1)


def ask(floor: Floor, kind: MachineKind, *things: Any, by: Any = None, at: Any = NOON, **row: Any) -> Requirements:
    requirements = Requirements(kind=kind, **({"holds_from": at} | row))
    return set_requirements(wanted=requirements, asked=things, by=by or floor.cast.teacher, at=at)


def test_holds_from_its_day_and_leaves_the_days_before_as_they_were(floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    ask(floor, floor.saw, floor.general, floor.saw_bank, floor.drill, holds_from=NOON + DAY)
    assert answer_for(floor.cast.student, floor.saw_2, NOON + DAY - timedelta(seconds=1)).cleared
    answer = answer_for(floor.cast.student, floor.saw_2, NOON + DAY)
    assert [reason.sentence for reason in answer.reasons] == ["First: drill press."]


def test_a_machine_may_ask_for_more_than_its_kind_and_follow_it_again(floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    signed(floor.cast.student, floor.saw_3, floor.cast.teacher)
    ask(floor, floor.saw, floor.drill_1, machine=floor.saw_3)
    assert answer_for(floor.cast.student, floor.saw_2, NOON).cleared
    assert answer_for(floor.cast.student, floor.saw_3, NOON).standing is Standing.TRAINING
    ask(floor, floor.saw, machine=floor.saw_3, as_kind=True, at=NOON + DAY)
    assert answer_for(floor.cast.student, floor.saw_3, NOON + DAY).cleared
    assert not answer_for(floor.cast.student, floor.saw_3, NOON).cleared


def test_a_demonstration_on_the_kind_clears_the_machine_next_to_it(floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    assert answer_for(floor.cast.student, floor.saw_3, NOON).standing is Standing.READY
    ask(floor, floor.saw, floor.general, floor.saw_bank, demonstration="kind")
    assert answer_for(floor.cast.student, floor.saw_3, NOON).cleared


def test_a_circle_is_refused_and_its_path_named(floor: Floor) -> None:
    ask(floor, floor.saw, floor.drill)
    with pytest.raises(Refused) as caught:
        ask(floor, floor.drill, floor.saw)
    assert caught.value.code == "requirements.circle"
    assert "band saw → drill press → band saw" in caught.value.sentence
    assert Requirements.objects.filter(kind=floor.drill).count() == 1


@pytest.mark.parametrize("machine", ["saw_2", "saw"])
def test_a_kind_that_asks_for_itself_is_a_circle(floor: Floor, machine: str) -> None:
    assert code_of(ask, floor, floor.saw, getattr(floor, machine)) == "requirements.circle"


def test_a_circle_over_three_and_through_one_machine_is_found(floor: Floor) -> None:
    lathe = KindFactory(school=floor.cast.school, name="Lathe")
    lathe_9 = MachineFactory(shop=floor.cast.shop, kind=lathe, number=9)
    ask(floor, lathe, floor.saw)
    ask(floor, floor.saw, floor.drill)
    assert code_of(ask, floor, floor.drill, lathe_9) == "requirements.circle"
    assert code_of(ask, floor, floor.drill, lathe_9, machine=floor.drill_1) == "requirements.circle"


def test_a_circle_that_would_close_only_on_a_later_day_is_refused_now(floor: Floor) -> None:
    ask(floor, floor.saw, floor.drill, holds_from=NOON + 9 * DAY)
    assert code_of(ask, floor, floor.drill, floor.saw) == "requirements.circle"
    ask(floor, floor.saw, holds_from=NOON + 9 * DAY)
    ask(floor, floor.drill, floor.saw)


def test_the_past_is_not_changed(floor: Floor) -> None:
    assert code_of(ask, floor, floor.saw, holds_from=NOON - timedelta(seconds=1)) == "requirements.in-past"


def test_is_recorded_with_all_it_says(floor: Floor) -> None:
    ask(floor, floor.saw, floor.general, floor.drill, refresh_days=60, ends_with="year")
    kind, payload = last_entry()
    assert kind == "requirements.set"
    assert [payload["banks"][0]["name"], payload["machine_kinds"][0]["name"]] == ["General shop safety", "Drill press"]
    assert (payload["refresh_days"], payload["ends_with"], payload["by"]["id"]) == (60, "year", floor.cast.teacher.pk)


def test_no_one_else_sets_them(floor: Floor) -> None:
    rows = Requirements.objects.count()
    for person in floor.cast.not_teachers:
        assert code_of(ask, floor, floor.saw, by=person) == "access.not-yours", person
        assert code_of(ask, floor, floor.saw, machine=floor.saw_2, by=person) == "access.not-yours", person
    assert code_of(ask, floor, floor.saw, floor.far_saw.kind) == "requirements.elsewhere"
    assert Requirements.objects.count() == rows
    assert not Entry.objects.exists()


def test_a_kind_with_no_requirements_set_asks_for_its_own_quiz(floor: Floor) -> None:
    take_out(Prerequisite.objects.all(), Requirements.objects.all())
    asked = asked_by_machine(floor.cast.school.pk, NOON)[floor.saw_2.pk]
    assert [bank.subject for bank in asked.banks] == ["Band saw"]
    assert asked.documents == (AGREEMENT,)


def test_one_sign_off_counts_for_the_kind_and_the_rest_stays(floor: Floor) -> None:
    before = asks_at(floor.cast.school.pk, NOON).of(floor.saw.pk)
    for _ in range(2):
        count_once_for_kind(kind=floor.saw, by=floor.cast.teacher, at=NOON)
    terms, things = asks_at(floor.cast.school.pk, NOON).of(floor.saw.pk)
    assert terms == before[0]._replace(demonstration="kind")
    assert things == before[1]
    assert last_entry()[1]["demonstration"] == "kind"
    assert Requirements.objects.filter(kind=floor.saw, set_at=NOON).count() == 1


def test_one_sign_off_for_the_kind_is_for_its_teachers_to_say(floor: Floor) -> None:
    for person in floor.cast.not_teachers:
        assert code_of(count_once_for_kind, kind=floor.saw, by=person, at=NOON) in (
            "access.not-yours",
            "requirements.elsewhere",
        )
