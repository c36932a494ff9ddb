"""The office gives a new password, ends an access, and restores it."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.http import Http404

from shopsafe.school.models import Person
from shopsafe.school.people.acts.staff import end_access, let_in_again, set_password
from shopsafe.school.signing_in.acts import sign_in
from tests.acts.reading import code_of, entries
from tests.cast import Cast
from tests.factories.people import PASSWORD, PersonFactory

AT = datetime(2026, 10, 12, 15, 0, tzinfo=UTC)
ANOTHER = "nine teak boards planed true"


def password(cast: Cast, **more: Any) -> Person:
    return set_password(**{"person": cast.teacher, "password": ANOTHER, "by": cast.office, "at": AT} | more)


def ended(cast: Cast, **more: Any) -> Person:
    return end_access(**{"person": cast.teacher, "by": cast.office, "at": AT} | more)


def let_in(cast: Cast, **more: Any) -> Person:
    return let_in_again(**{"person": cast.teacher, "by": cast.office, "at": AT} | more)


DEEDS: tuple[Callable[..., Person], ...] = (password, ended, let_in)


def signing_in(person: Person, code: str, at: datetime = AT) -> str:
    return code_of(sign_in, name=person.sign_in_name, code=code, at=at)


class TestPassword:
    def test_takes_the_place_of_the_old_one_and_stands_nowhere(self, cast: Cast) -> None:
        password(cast)
        assert signing_in(cast.teacher, PASSWORD) == "sign-in.wrong"
        assert sign_in(name=cast.teacher.sign_in_name, code=ANOTHER, at=AT) == cast.teacher
        assert ANOTHER not in entries("staff.password_set")[0] + Person.objects.get(pk=cast.teacher.pk).password

    def test_ends_the_wait_after_wrong_ones(self, cast: Cast) -> None:
        for _ in range(5):
            signing_in(cast.teacher, "wrong")
        password(cast)
        assert sign_in(name=cast.teacher.sign_in_name, code=ANOTHER, at=AT + timedelta(seconds=1)) == cast.teacher

    def test_may_be_one_s_own(self, cast: Cast) -> None:
        assert password(cast, person=cast.office).check_password(ANOTHER)

    def test_password_is_refused_when_weak_or_access_has_ended(self, cast: Cast) -> None:
        assert code_of(password, cast, password="too short") == "set-up.weak-password"
        ended(cast)
        assert code_of(password, cast) == "staff.ended"
        assert not entries("staff.password_set")


class TestEndedAccess:
    def test_lets_no_one_sign_in_and_what_was_taught_stays(self, cast: Cast) -> None:
        assert not ended(cast).is_active
        assert signing_in(cast.teacher, PASSWORD) == "sign-in.wrong"
        assert cast.teacher in cast.section.teachers.all()
        assert len(entries("staff.access_ended")) == 1

    def test_staff_cannot_end_their_own_access(self, cast: Cast) -> None:
        PersonFactory(school=cast.school, role="office")
        assert code_of(ended, cast, person=cast.office) == "staff.own-access"

    def test_leaves_one_person_in_the_office(self, cast: Cast) -> None:
        other = PersonFactory(school=cast.school, role="office", code=PASSWORD)
        PersonFactory(school=cast.stranger_school, role="office")
        ended(cast, person=other)
        # Both had the page open: the other one's request comes a moment later.
        assert code_of(ended, cast, person=cast.office, by=other) == "staff.last-office"
        assert Person.objects.get(pk=cast.office.pk).is_active

    def test_ends_once(self, cast: Cast) -> None:
        ended(cast)
        assert code_of(ended, cast) == "staff.ended"
        assert len(entries("staff.access_ended")) == 1


class TestLetInAgain:
    def test_the_name_and_the_password_are_those_of_before(self, cast: Cast) -> None:
        ended(cast)
        let_in(cast)
        assert sign_in(name=cast.teacher.sign_in_name, code=PASSWORD, at=AT) == cast.teacher
        assert len(entries("staff.let_in_again")) == 1

    def test_restoring_access_is_refused_when_access_has_not_ended(self, cast: Cast) -> None:
        assert code_of(let_in, cast) == "staff.not-ended"


def test_staff_acts_return_404_for_students_and_other_schools(cast: Cast) -> None:
    for person in (cast.student, cast.stranger_teacher, cast.stranger_student):
        for deed in DEEDS:
            with pytest.raises(Http404):
                deed(cast, person=person)


def test_only_the_office_does_any_of_it(cast: Cast) -> None:
    for person in cast.not_office:
        for deed in DEEDS:
            assert code_of(deed, cast, by=person) == "access.not-yours", (person, deed)
    assert Person.objects.get(pk=cast.teacher.pk).check_password(PASSWORD)


def test_an_office_person_whose_access_ended_does_none_of_it_either(cast: Cast) -> None:
    other = PersonFactory(school=cast.school, role="office")
    former_office = ended(cast, person=other)
    for deed in DEEDS:
        assert code_of(deed, cast, by=former_office) == "access.not-yours"
