"""Letting a locked student in."""

from datetime import UTC, datetime

from shopsafe.school.people.acts.students import let_in
from shopsafe.school.signing_in.acts import sign_in
from tests.acts.reading import code_of, entries
from tests.cast import Cast
from tests.factories.people import CODE

AT = datetime(2026, 10, 12, 15, 0, tzinfo=UTC)


def lock(cast: Cast) -> None:
    for _ in range(5):
        code_of(sign_in, name=cast.student.sign_in_name, code="WRONG", at=AT)


def test_the_old_code_works_again(cast: Cast) -> None:
    lock(cast)
    assert code_of(sign_in, name=cast.student.sign_in_name, code=CODE, at=AT) == "sign-in.locked"
    let_in(student=cast.student, by=cast.teacher, at=AT)
    assert sign_in(name=cast.student.sign_in_name, code=CODE, at=AT).misses == 0
    assert len(entries("student.let_in")) == 1


def test_who_is_not_locked_needs_no_letting_in(cast: Cast) -> None:
    assert code_of(let_in, student=cast.student, by=cast.teacher, at=AT) == "let-in.not-locked"
    assert not entries("student.let_in")


def test_a_colleague_of_the_shop_and_the_office_may(cast: Cast) -> None:
    for person in (cast.colleague, cast.office):
        lock(cast)
        let_in(student=cast.student, by=person, at=AT)
    assert len(entries("student.let_in")) == 2


def test_nobody_else_may(cast: Cast) -> None:
    lock(cast)
    for person in (one for one in cast.not_teachers if one != cast.office):
        assert code_of(let_in, student=cast.student, by=person, at=AT) == "access.not-yours", person
    assert code_of(sign_in, name=cast.student.sign_in_name, code=CODE, at=AT) == "sign-in.locked"
