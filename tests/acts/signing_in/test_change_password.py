"""A staff member's own password: only with the one it takes the place of, and never a student's."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from shopsafe.school.models import Person
from shopsafe.school.signing_in.acts import change_password, sign_in
from shopsafe.school.signing_in.codes.devices import digest_of
from tests.acts.reading import code_of, entries, last_entry
from tests.cast import Cast
from tests.factories.people import CODE, PASSWORD

AT = datetime(2026, 10, 12, 15, 0, tzinfo=UTC)
ANOTHER = "nine teak boards planed true"


def changed(cast: Cast, **more: Any) -> Person:
    return change_password(**{"person": cast.teacher, "current": PASSWORD, "password": ANOTHER, "at": AT} | more)


def test_it_takes_the_place_of_the_old_one_and_stands_nowhere(cast: Cast) -> None:
    changed(cast)
    assert code_of(sign_in, name=cast.teacher.sign_in_name, code=PASSWORD, at=AT) == "sign-in.wrong"
    assert sign_in(name=cast.teacher.sign_in_name, code=ANOTHER, at=AT) == cast.teacher
    kind, payload = last_entry()
    assert (kind, payload["by"], payload["person"]) == ("staff.password_set", *[cast.teacher.as_record()] * 2)
    assert ANOTHER not in str(payload)


def test_office_and_substitute_may(cast: Cast) -> None:
    for person in (cast.office, cast.substitute):
        assert changed(cast, person=person, current=CODE).check_password(ANOTHER)


def test_no_student_may_and_no_one_whose_access_has_ended(cast: Cast) -> None:
    cast.substitute.is_active = False
    cast.substitute.save()
    for person in (cast.student, cast.classmate, cast.stranger_student, cast.substitute):
        assert code_of(changed, cast, person=person, current=CODE) == "access.not-yours", person
        assert Person.objects.get(pk=person.pk).check_password(CODE)
    assert not entries("staff.password_set")


@pytest.mark.parametrize("password", ["too short", "yfdbufnjh10305070", ""])
def test_a_weak_one_is_refused(cast: Cast, password: str) -> None:
    assert code_of(changed, cast, password=password) == "password.weak"


def test_wrong_tries_count_as_those_to_sign_in(cast: Cast) -> None:
    here = digest_of("laptop")
    codes = [code_of(changed, cast, current="wrong", device=here) for _ in range(5)]
    assert codes == [*["password.wrong"] * 4, "sign-in.device-locked"]
    assert code_of(changed, cast, device=here) == "sign-in.device-locked"
    name = cast.teacher.sign_in_name
    assert code_of(sign_in, name=name, code=PASSWORD, device=here, at=AT) == "sign-in.device-locked"
    assert changed(cast, device=here, at=AT + timedelta(minutes=2)).misses == 0
