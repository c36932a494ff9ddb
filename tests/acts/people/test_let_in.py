"""Unlocking names after wrong codes: one student, or a class with one tap."""

import json
from datetime import UTC, datetime, timedelta

import pytest
from django.http import Http404

from shopsafe.school.models import Person
from shopsafe.school.people.acts.students import let_class_in, let_in
from shopsafe.school.refusals import Refused
from shopsafe.school.signing_in.acts import sign_in
from shopsafe.school.signing_in.codes.devices import digest_of
from shopsafe.school.signing_in.queries import locked_names, name_locks, waves_of
from shopsafe.school.signing_in.rules.wrong_codes import DEVICE_TRIES, NAME_TRIES
from tests.acts.reading import code_of, entries
from tests.cast import Cast
from tests.factories.people import CODE, EnrollmentFactory

AT = datetime(2026, 10, 12, 15, 0, tzinfo=UTC)
LAPTOP = digest_of("laptop")


def guess(person: Person, times: int, device: str = "", at: datetime = AT) -> None:
    for _ in range(times):
        code_of(sign_in, name=person.sign_in_name, code="WRONG", device=device, at=at)


def opens(person: Person, device: str) -> bool:
    try:
        return sign_in(name=person.sign_in_name, code=CODE, device=device, at=AT) == person
    except Refused:
        return False


def lock(cast: Cast) -> None:
    guess(cast.student, NAME_TRIES)
    guess(cast.student, DEVICE_TRIES, LAPTOP)


def test_old_code_works_again_on_every_device(cast: Cast) -> None:
    lock(cast)
    assert not opens(cast.student, LAPTOP)
    let_in(student=cast.student, by=cast.teacher, at=AT)
    assert opens(cast.student, LAPTOP)
    assert opens(cast.student, digest_of("another"))
    assert len(entries("student.let_in")) == 1


def test_student_locked_on_one_device_alone_is_unlocked_there(cast: Cast) -> None:
    guess(cast.student, DEVICE_TRIES, LAPTOP)
    let_in(student=cast.student, by=cast.teacher, at=AT)
    assert opens(cast.student, LAPTOP)


def test_student_who_is_not_locked_needs_no_unlocking(cast: Cast) -> None:
    guess(cast.student, DEVICE_TRIES - 1, LAPTOP)
    assert code_of(let_in, student=cast.student, by=cast.teacher, at=AT) == "let-in.not-locked"
    assert not entries("student.let_in")


def test_colleague_of_the_shop_and_the_office_can_unlock_a_student(cast: Cast) -> None:
    for person in (cast.colleague, cast.office):
        lock(cast)
        let_in(student=cast.student, by=person, at=AT)
    assert len(entries("student.let_in")) == 2


def test_other_roles_cannot_unlock_a_student(cast: Cast) -> None:
    lock(cast)
    for person in (candidate for candidate in cast.not_teachers if candidate != cast.office):
        assert code_of(let_in, student=cast.student, by=person, at=AT) == "access.not-yours", person
    assert not opens(cast.student, LAPTOP)


class TestClass:
    @pytest.fixture
    def class_locked(self, cast: Cast) -> list[Person]:
        """Eight students of the class, locked within two minutes from one laptop; a ninth is not."""
        students = [cast.student, cast.classmate] + [EnrollmentFactory(section=cast.section).student for _ in range(7)]
        for number, student in enumerate(students[:8]):
            guess(student, DEVICE_TRIES, LAPTOP, AT + timedelta(seconds=17 * number))
        guess(students[8], DEVICE_TRIES - 1, LAPTOP)
        return students

    def test_one_tap_unlocks_all_with_an_entry_each(self, cast: Cast, class_locked: list[Person]) -> None:
        unlocked = let_class_in(section=cast.section, by=cast.teacher, at=AT + timedelta(minutes=3))
        assert {student.pk for student in unlocked} == {student.pk for student in class_locked[:8]}
        assert all(opens(student, LAPTOP) for student in class_locked)
        named = [json.loads(payload)["student"]["id"] for payload in entries("student.let_in")]
        assert sorted(named) == sorted(student.pk for student in class_locked[:8])

    def test_wave_of_locks_is_found(self, cast: Cast, class_locked: list[Person]) -> None:
        locks = name_locks(class_locked, AT + timedelta(minutes=3))
        [wave] = waves_of(locks)
        assert (wave.names, wave.minutes, wave.device, wave.since) == (8, 2, LAPTOP, AT)
        assert [lock.everywhere for lock in locked_names(class_locked, locks)] == [False] * 8

    def test_lock_that_has_ended_is_shown_no_more(self, cast: Cast, class_locked: list[Person]) -> None:
        assert name_locks(class_locked, AT + timedelta(days=1, minutes=3)) == []

    def test_class_without_a_locked_student_is_refused(self, cast: Cast) -> None:
        assert code_of(let_class_in, section=cast.section, by=cast.teacher, at=AT) == "let-in.not-locked"

    def test_other_roles_cannot_unlock_a_class(self, cast: Cast, class_locked: list[Person]) -> None:
        for person in (cast.student, cast.substitute):
            assert code_of(let_class_in, section=cast.section, by=person, at=AT) == "access.not-yours"
        for person in (cast.other_teacher, cast.stranger_teacher):
            with pytest.raises(Http404):
                let_class_in(section=cast.section, by=person, at=AT)
        assert not entries("student.let_in")
