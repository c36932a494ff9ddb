"""Signing in: the right code, wrong ones, the lock, and letting in."""

from datetime import UTC, datetime, timedelta

import pytest

from shopsafe.school.refusals import Refused
from shopsafe.school.signing_in.acts import sign_in
from tests.cast import Cast
from tests.factories.people import CODE, PASSWORD, PersonFactory

AT = datetime(2026, 10, 12, 15, 0, tzinfo=UTC)


def refusal(**kwargs: object) -> str:
    with pytest.raises(Refused) as caught:
        sign_in(**kwargs)  # type: ignore[arg-type]
    return caught.value.code


@pytest.mark.parametrize("typed", [CODE, CODE.lower(), "7K3D-Q2XM", " 7k3d q2xm "])
def test_takes_the_code_however_it_is_typed(cast: Cast, typed: str) -> None:
    assert sign_in(name=cast.student.sign_in_name, code=typed, at=AT) == cast.student


def test_takes_the_name_without_accents_and_in_any_case(cast: Cast) -> None:
    person = PersonFactory(school=cast.school, given_name="Łukasz", family_name="Márquez")
    assert sign_in(name="  lukasz  MARQUEZ", code=CODE, at=AT) == person


def test_two_of_one_name_get_two_sign_in_names(cast: Cast) -> None:
    first = PersonFactory(school=cast.school, given_name="Uma", family_name="Lund")
    second = PersonFactory(school=cast.stranger_school, given_name="Uma", family_name="Lund")
    assert (first.sign_in_name, second.sign_in_name) == ("Uma Lund", "Uma Lund 2")
    assert sign_in(name="Uma Lund 2", code=CODE, at=AT) == second


def test_five_wrong_codes_lock_a_student_even_for_the_right_one(cast: Cast) -> None:
    name = cast.student.sign_in_name
    assert [refusal(name=name, code="WRONG", at=AT) for _ in range(5)] == ["sign-in.wrong"] * 4 + ["sign-in.locked"]
    assert refusal(name=name, code=CODE, at=AT + timedelta(days=1)) == "sign-in.locked"
    assert sign_in(name=cast.classmate.sign_in_name, code=CODE, at=AT) == cast.classmate


def test_a_right_code_forgets_the_wrong_ones(cast: Cast) -> None:
    name = cast.student.sign_in_name
    for _ in range(4):
        refusal(name=name, code="WRONG", at=AT)
    assert sign_in(name=name, code=CODE, at=AT).misses == 0


def test_a_teacher_waits_longer_each_time_but_is_never_locked_out(cast: Cast) -> None:
    name = cast.teacher.sign_in_name
    for _ in range(5):
        refusal(name=name, code="wrong", at=AT)
    assert refusal(name=name, code=PASSWORD, at=AT + timedelta(seconds=59)) == "sign-in.wait"
    assert refusal(name=name, code="wrong", at=AT + timedelta(seconds=60)) == "sign-in.wait"
    assert refusal(name=name, code=PASSWORD, at=AT + timedelta(seconds=120)) == "sign-in.wait"
    assert sign_in(name=name, code=PASSWORD, at=AT + timedelta(seconds=180)) == cast.teacher


def test_an_unknown_name_reads_like_a_wrong_code(cast: Cast) -> None:
    assert refusal(name="Nobody Here", code=CODE, at=AT) == "sign-in.wrong"


def test_who_has_left_can_not_sign_in(cast: Cast) -> None:
    gone = PersonFactory(school=cast.school, is_active=False)
    assert refusal(name=gone.sign_in_name, code=CODE, at=AT) == "sign-in.wrong"
