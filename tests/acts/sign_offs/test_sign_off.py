"""Signing off a demonstration: who may, on what, and that one tap is one sign-off."""

import uuid
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.db import IntegrityError

from machines.clearance.facts import Standing
from machines.clearance.queries import answer_for
from machines.holds.acts import place_hold
from machines.models import SignOff, TagOut
from machines.sign_offs.acts import sign_off
from shopsafe.logbook.models import Entry
from shopsafe.school.models import Enrollment
from shopsafe.school.refusals import Refused
from tests.acts.reading import last_entry
from tests.factories.machines import NOON, POINTS, Floor, passed, signed

TAP = uuid.UUID(int=1)


def tap_sign_off(floor: Floor, **changes: Any) -> SignOff:
    asked: dict[str, Any] = {
        "student": floor.cast.student, "machine": floor.saw_2, "by": floor.cast.teacher,
        "ticked": POINTS, "tap": TAP, "at": NOON,
    }  # fmt: skip
    return sign_off(**(asked | changes))


def refused(floor: Floor, **changes: Any) -> Refused:
    with pytest.raises(Refused) as caught:
        tap_sign_off(floor, **changes)
    assert not SignOff.objects.exclude(at__lt=NOON).exists()
    return caught.value


def test_clears_a_student_who_was_ready_to_show(floor: Floor) -> None:
    floor.make_ready(floor.cast.student)
    new_sign_off = tap_sign_off(floor)
    assert answer_for(floor.cast.student, floor.saw_2, NOON).standing is Standing.CLEARED
    assert (new_sign_off.by, new_sign_off.term, new_sign_off.points, new_sign_off.renews) == (
        floor.cast.teacher, floor.cast.section.term, POINTS, None,
    )  # fmt: skip


def test_records_every_point_and_what_it_rests_on(floor: Floor) -> None:
    floor.make_ready(floor.cast.student)
    new_sign_off = tap_sign_off(floor)
    kind, payload = last_entry()
    assert kind == "signoff.made"
    assert payload["student"] == {"id": floor.cast.student.pk, "name": floor.cast.student.name}
    assert payload["machine"] == {"id": floor.saw_2.pk, "name": "Band saw 2"}
    assert payload["points"] == POINTS
    assert [ground["sentence"] for ground in payload["rests_on"]] == [
        "The safety agreement for this school year is in.",
        "General shop safety quiz: every answer right.",
        "Band saw quiz: every answer right.",
    ]
    assert new_sign_off.entry_id == Entry.objects.order_by("seq").last().seq


def test_a_colleague_of_the_same_shop_may_sign_off_too(floor: Floor) -> None:
    floor.make_ready(floor.cast.student)
    assert tap_sign_off(floor, by=floor.cast.colleague).by == floor.cast.colleague


def test_no_one_else_may_sign_off(floor: Floor) -> None:
    floor.make_ready(floor.cast.student)
    for person in floor.cast.not_teachers:
        assert refused(floor, by=person).status == 403
    assert not Entry.objects.exists()


def test_student_or_machine_of_another_school_is_refused(floor: Floor) -> None:
    assert refused(floor, student=floor.cast.stranger_student).status == 403
    assert refused(floor, student=floor.cast.stranger_student, machine=floor.far_saw).status == 403
    assert refused(floor, machine=floor.far_saw).status == 403


@pytest.mark.parametrize("missing", range(len(POINTS)))
def test_a_point_left_unticked_is_named(floor: Floor, missing: int) -> None:
    floor.make_ready(floor.cast.student)
    refusal = refused(floor, ticked=POINTS[:missing] + POINTS[missing + 1 :])
    assert (refusal.code, refusal.status) == ("sign-off.point-unticked", 422)
    assert POINTS[missing] in refusal.sentence


def test_sign_off_is_refused_when_the_points_have_changed(floor: Floor) -> None:
    floor.make_ready(floor.cast.student)
    assert refused(floor, ticked=[*POINTS[1:], "An older wording"]).code == "sign-off.points-changed"


def test_sign_off_of_an_unready_student_names_what_is_missing(floor: Floor) -> None:
    passed(floor.cast.student, floor.general)
    refusal = refused(floor)
    assert refusal.code == "sign-off.not-ready"
    assert "safety agreement" in refusal.sentence


def test_a_held_student_is_not_signed_off(floor: Floor) -> None:
    floor.make_ready(floor.cast.student)
    place_hold(
        student=floor.cast.student, machines=None, reason="horseplay", lifts="talk", by=floor.cast.teacher,
        tap=uuid.uuid4(), at=NOON,
    )  # fmt: skip
    assert refused(floor).code == "sign-off.not-ready"


def test_a_machine_that_is_tagged_out_shows_nothing(floor: Floor) -> None:
    floor.make_ready(floor.cast.student)
    TagOut.objects.create(
        school=floor.cast.school, machine=floor.saw_2, reason="Blade cracked", by=floor.cast.teacher, at=NOON
    )
    assert "Blade cracked" in refused(floor).sentence


def test_sign_off_is_refused_after_the_student_or_term_left(floor: Floor) -> None:
    floor.make_ready(floor.cast.student)
    after = datetime(2027, 1, 16, 15, 0, tzinfo=UTC)
    assert refused(floor, at=after).code == "sign-off.no-class"
    Enrollment.objects.filter(student=floor.cast.student).update(until_day=NOON.date() - timedelta(days=1))
    assert refused(floor).code == "sign-off.no-class"


def test_the_same_tap_sent_again_is_the_same_sign_off(floor: Floor) -> None:
    floor.make_ready(floor.cast.student)
    first = tap_sign_off(floor)
    assert tap_sign_off(floor, at=NOON + timedelta(seconds=5)) == first
    assert (SignOff.objects.count(), Entry.objects.count()) == (1, 1)


def test_a_tap_used_for_another_student_is_refused(floor: Floor) -> None:
    floor.make_ready(floor.cast.student)
    floor.make_ready(floor.cast.classmate)
    tap_sign_off(floor)
    with pytest.raises(Refused) as caught:
        tap_sign_off(floor, student=floor.cast.classmate)
    assert (caught.value.code, caught.value.status) == ("sign-off.tap-used", 422)


def test_second_sign_off_names_the_first_teacher_and_the_time(floor: Floor) -> None:
    floor.make_ready(floor.cast.student)
    tap_sign_off(floor)
    with pytest.raises(Refused) as caught:
        tap_sign_off(floor, by=floor.cast.colleague, tap=uuid.uuid4(), at=NOON + timedelta(minutes=1))
    assert caught.value.sentence == (
        f"{floor.cast.teacher.name} signed off {floor.cast.student.name} on band saw 2 on October 12, 2026 at 12:00 PM."
    )


def test_new_sign_off_renews_an_expired_one(floor: Floor) -> None:
    floor.make_ready(floor.cast.student)
    old = signed(floor.cast.student, floor.saw_2, floor.cast.teacher, term=_ended_term(floor))
    assert answer_for(floor.cast.student, floor.saw_2, NOON).standing is Standing.LAPSED
    assert tap_sign_off(floor).renews == old
    assert answer_for(floor.cast.student, floor.saw_2, NOON).standing is Standing.CLEARED


def _ended_term(floor: Floor) -> Any:
    term = floor.cast.section.term
    term.pk, term.name = None, "Spring"
    term.first_day, term.last_day = NOON.date() - timedelta(days=200), NOON.date() - timedelta(days=100)
    term.save()
    return term


def test_database_refuses_a_sign_off_by_its_own_student(floor: Floor) -> None:
    student = floor.cast.student
    with pytest.raises(IntegrityError, match="nobody_signs_off_themselves"):
        signed(student, floor.saw_2, by=student)
