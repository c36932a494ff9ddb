"""Sign-in slips: new codes, shown once."""

from datetime import UTC, datetime

import pytest

from shopsafe.school.models import Person
from shopsafe.school.people.acts.students import issue_slips
from shopsafe.school.signing_in.acts import sign_in
from shopsafe.school.signing_in.rules.slips import ALPHABET, LENGTH, new_code, printed
from tests.acts.reading import code_of, entries, may_not_change_the_class
from tests.cast import Cast
from tests.factories.people import CODE

AT = datetime(2026, 10, 12, 15, 0, tzinfo=UTC)


def test_new_slip_code_works_in_any_case_and_replaces_the_old_code(cast: Cast) -> None:
    (slip,) = issue_slips(section=cast.section, students=[cast.student], by=cast.teacher, at=AT)
    name = cast.student.sign_in_name
    assert code_of(sign_in, name=name, code=CODE, at=AT) == "sign-in.wrong"
    for typed in (slip.code, slip.code.lower(), printed(slip.code), printed(slip.code).lower()):
        assert sign_in(name=name, code=typed, at=AT) == cast.student


def test_codes_have_eight_signs_that_no_one_takes_for_another(cast: Cast) -> None:
    slips = issue_slips(section=cast.section, students=[cast.student, cast.classmate], by=cast.teacher, at=AT)
    assert len({slip.code for slip in slips}) == 2
    assert all(len(slip.code) == LENGTH and set(slip.code) <= set(ALPHABET) for slip in slips)
    assert not set(ALPHABET) & set("0O1IL")


def test_a_code_takes_what_is_chosen_for_it() -> None:
    signs = iter("7K3DQ2XM")
    code = new_code(lambda alphabet: next(signs))
    assert (code, printed(code)) == ("7K3DQ2XM", "7K3D-Q2XM")


def test_the_code_is_nowhere_but_on_the_slip(cast: Cast) -> None:
    (slip,) = issue_slips(section=cast.section, students=[cast.student], by=cast.teacher, at=AT)
    (entry,) = entries("slip.issued")
    stored = Person.objects.get(pk=cast.student.pk).password
    assert slip.code not in entry + stored
    assert f'"id":{cast.student.pk}' in entry


def test_a_new_slip_lifts_the_lock(cast: Cast) -> None:
    for _ in range(5):
        code_of(sign_in, name=cast.student.sign_in_name, code="WRONG", at=AT)
    (slip,) = issue_slips(section=cast.section, students=[cast.student], by=cast.teacher, at=AT)
    assert sign_in(name=cast.student.sign_in_name, code=slip.code, at=AT).locked_at is None


def test_only_students_of_the_class_get_one(cast: Cast) -> None:
    arguments = {"section": cast.section, "by": cast.teacher, "at": AT}
    assert code_of(issue_slips, students=[cast.stranger_student], **arguments) == "slips.nobody"
    assert code_of(issue_slips, students=[], **arguments) == "slips.nobody"
    slips = issue_slips(students=[cast.stranger_student, cast.student], **arguments)
    assert [slip.student for slip in slips] == [cast.student]


def test_no_one_else_issues_slips(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    for person in may_not_change_the_class(cast):
        refused = code_of(issue_slips, section=cast.section, students=[cast.student], by=person, at=AT)
        assert refused == "access.not-yours", person
    assert sign_in(name=cast.student.sign_in_name, code=CODE, at=AT) == cast.student
