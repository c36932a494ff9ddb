"""A student's name is corrected: who may, what follows, and what an erasure leaves of the old one."""

import json
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from machines.prints.queries import state_of
from machines.records.acts import erase_student
from shopsafe.logbook.models import Body
from shopsafe.school.models import Person
from shopsafe.school.people.acts.moves import end_enrollment
from shopsafe.school.people.acts.names import correct_name
from shopsafe.school.signing_in.acts import sign_in
from tests.acts.reading import code_of, entries, last_entry, may_not_change_the_class
from tests.cast import Cast
from tests.factories.logbook import note
from tests.factories.machines import NOON, Floor
from tests.factories.people import CODE, EnrollmentFactory, PersonFactory
from tests.factories.prints import hung
from tests.logbook.record import chain_holds

AT = datetime(2026, 10, 12, 15, 0, tzinfo=UTC)


@pytest.fixture
def elif_(cast: Cast) -> Person:
    """Read without a family name, and with a slip."""
    student = PersonFactory(school=cast.school, name="Elif", given_name="Elif", family_name="", local_id="S1004")
    return EnrollmentFactory(section=cast.section, student=student).student


@pytest.fixture
def asked(cast: Cast, elif_: Person) -> dict[str, Any]:
    return {
        "section": cast.section,
        "student": elif_,
        "given": " Elif",
        "family": "Kaya ",
        "by": cast.teacher,
        "at": AT,
    }


def test_the_student_is_called_and_sorted_so_from_now_on(asked: dict[str, Any]) -> None:
    now = Person.objects.get(pk=correct_name(**asked).pk)
    assert (now.name, now.short_name, now.sort_key) == ("Elif Kaya", "Elif K.", "elif kaya")


def test_the_logbook_says_both_names_and_by_whom(asked: dict[str, Any]) -> None:
    correct_name(**asked)
    kind, payload = last_entry()
    assert kind == "student.name_corrected"
    assert (payload["before"]["name"], payload["student"]["name"]) == ("Elif", "Elif Kaya")
    assert payload["by"] == asked["by"].as_record()


def test_the_slip_that_is_handed_out_stays_good(asked: dict[str, Any]) -> None:
    assert correct_name(**asked).sign_in_name == "Elif"
    assert sign_in(name="elif", code=CODE, at=AT) == asked["student"]


def test_sign_in_name_follows_the_name_when_no_slip_was_issued(cast: Cast, asked: dict[str, Any]) -> None:
    PersonFactory(school=cast.school, given_name="Elif", family_name="Kaya")
    asked["student"].set_unusable_password()
    asked["student"].save()
    assert correct_name(**asked).sign_in_name == "Elif Kaya 2"
    assert correct_name(**asked | {"given": "ELIF"}).sign_in_name == "ELIF Kaya 2"


def test_short_name_uses_both_parts_when_name_had_one_part(cast: Cast, asked: dict[str, Any]) -> None:
    whole = PersonFactory(school=cast.school, name="Wren Hale", given_name="", family_name="")
    EnrollmentFactory(section=cast.section, student=whole)
    now = correct_name(**asked | {"student": whole, "given": "Wren", "family": "Hale"})
    assert now.short_name == "Wren H."


@pytest.mark.parametrize(
    ("given", "family", "code"),
    [
        ("Elif", "", "name.same"),
        ("", "", "name.to-fix"),
        ("7", "8", "name.to-fix"),
        ("E" * 50, "K" * 50, "name.to-fix"),
    ],
)
def test_invalid_or_unchanged_name_is_refused(asked: dict[str, Any], given: str, family: str, code: str) -> None:
    assert code_of(correct_name, **asked | {"given": given, "family": family}) == code
    assert not entries("student.name_corrected")


def test_no_one_else_corrects_one(cast: Cast, asked: dict[str, Any]) -> None:
    for person in may_not_change_the_class(cast):
        assert code_of(correct_name, **asked | {"by": person}) == "access.not-yours", person
    assert Person.objects.get(pk=asked["student"].pk).name == "Elif"


def test_no_one_of_elsewhere_and_no_one_who_left(cast: Cast, asked: dict[str, Any]) -> None:
    assert code_of(correct_name, **asked | {"student": cast.stranger_student}) == "name.left"
    assert code_of(correct_name, **asked | {"student": cast.colleague}) == "name.left"
    end_enrollment(section=cast.section, student=asked["student"], by=cast.teacher, at=AT)
    assert code_of(correct_name, **asked | {"at": AT + timedelta(days=1)}) == "name.left"


def test_the_office_may(cast: Cast, asked: dict[str, Any]) -> None:
    assert correct_name(**asked | {"by": cast.office}).name == "Elif Kaya"


def test_a_card_that_hangs_with_the_old_name_is_out_of_date(floor: Floor, asked: dict[str, Any]) -> None:
    floor.make_cleared(asked["student"])
    card = hung(floor)
    assert state_of(card, NOON).changes == ()
    correct_name(**asked)
    assert state_of(card, NOON).changes == ("Its words have changed",)


class TestErasure:
    LATER = NOON + timedelta(days=40)

    def erase(self, cast: Cast, student: Person, reason: str = "The family asked.") -> Any:
        return erase_student(student=student, reason=reason, by=cast.office, at=self.LATER)

    def test_takes_the_old_name_too(self, floor: Floor, asked: dict[str, Any]) -> None:
        cast, student = floor.cast, asked["student"]
        note(student)
        shared = note(cast.classmate, reporter=student.as_record(), words="Elif and Elif Kaya saw the guard hang loose")
        end_enrollment(
            section=cast.section, student=correct_name(**asked), by=cast.teacher, at=AT + timedelta(minutes=1)
        )
        done = self.erase(cast, student)
        assert done.going.shared == (shared.seq,)
        assert not any(b"Elif" in bytes(row) for row in Body.objects.values_list("payload", flat=True))
        assert "(erased) and (erased) saw" in json.dumps(last_entry()[1])
        assert chain_holds()

    def test_tells_of_entries_in_which_the_old_name_stands(self, floor: Floor, asked: dict[str, Any]) -> None:
        cast = floor.cast
        other = note(cast.classmate, words="Ask Elif about it")
        correct_name(**asked)
        end_enrollment(section=cast.section, student=asked["student"], by=cast.teacher, at=AT)
        assert code_of(self.erase, cast, asked["student"], "Elif asked") == "erase.reason-names"
        assert self.erase(cast, asked["student"]).going.mentions == (other.seq,)
