"""The office says how long records are kept, and keeps one longer."""

from datetime import UTC, datetime
from typing import Any

import pytest

from shopsafe.school.models import Keeping, Person
from shopsafe.school.retention.acts import keep_record, let_record_go, set_retention
from tests.acts.reading import code_of, last_entry
from tests.cast import Cast

AT = datetime(2026, 11, 25, 15, 0, tzinfo=UTC)


def not_office(cast: Cast) -> list[Person]:
    return [cast.teacher, cast.colleague, *(person for person in cast.not_teachers if person != cast.office)]


class TestSetRetention:
    def test_is_kept_for_the_office_s_own_school_and_recorded(self, cast: Cast) -> None:
        set_retention(years=3, years_after_injury=7, by=cast.office, at=AT)
        cast.school.refresh_from_db()
        cast.stranger_school.refresh_from_db()
        assert (cast.school.keep_years, cast.school.keep_years_injury) == (3, 7)
        assert cast.stranger_school.keep_years is None
        kind, payload = last_entry()
        assert (kind, payload["years"], payload["years_after_injury"]) == ("retention.set", 3, 7)

    @pytest.mark.parametrize(("years", "injury"), [(None, None), (1, None), (None, 5), (100, 100)])
    def test_either_may_be_left_open(self, cast: Cast, years: int | None, injury: int | None) -> None:
        set_retention(years=years, years_after_injury=injury, by=cast.office, at=AT)
        cast.school.refresh_from_db()
        assert (cast.school.keep_years, cast.school.keep_years_injury) == (years, injury)

    @pytest.mark.parametrize(
        ("years", "injury", "code"),
        [
            (0, None, "retention.not-valid"),
            (101, None, "retention.not-valid"),
            (3, -1, "retention.not-valid"),
            (5, 3, "retention.shorter-after-injury"),
        ],
    )
    def test_refuses_years_that_make_no_sense(self, cast: Cast, years: int, injury: int | None, code: str) -> None:
        assert code_of(set_retention, years=years, years_after_injury=injury, by=cast.office, at=AT) == code

    def test_refuses_everyone_else(self, cast: Cast) -> None:
        for person in not_office(cast):
            asked: dict[str, Any] = {"years": 1, "years_after_injury": 1, "by": person, "at": AT}
            assert code_of(set_retention, **asked) == "access.not-yours"


class TestKeepRecord:
    def test_stands_until_it_is_let_go_and_both_are_recorded(self, cast: Cast) -> None:
        keep_record(student=cast.student, reason=" A claim is open ", by=cast.office, at=AT)
        assert (last_entry()[0], last_entry()[1]["reason"]) == ("record.kept", "A claim is open")
        row = let_record_go(student=cast.student, by=cast.office, at=AT)
        assert (row.ended_by, row.ended_at) == (cast.office, AT)
        assert last_entry()[0] == "record.let_go"
        keep_record(student=cast.student, reason="Another claim", by=cast.office, at=AT)
        assert Keeping.objects.filter(student=cast.student).count() == 2

    def test_refuses_twice_and_without_a_reason(self, cast: Cast) -> None:
        asked: dict[str, Any] = {"student": cast.student, "by": cast.office, "at": AT}
        assert code_of(keep_record, reason=" ", **asked) == "keeping.no-reason"
        keep_record(reason="A claim", **asked)
        assert code_of(keep_record, reason="A claim", **asked) == "keeping.kept-already"
        let_record_go(**asked)
        assert code_of(let_record_go, **asked) == "keeping.not-kept"

    def test_refuses_everyone_else(self, cast: Cast) -> None:
        for person in not_office(cast):
            asked: dict[str, Any] = {"student": cast.student, "by": person, "at": AT}
            assert code_of(keep_record, reason="A claim", **asked) == "access.not-yours"
            assert code_of(let_record_go, **asked) == "access.not-yours"

    def test_refuses_a_student_of_another_school(self, cast: Cast) -> None:
        asked: dict[str, Any] = {"student": cast.stranger_student, "by": cast.office, "at": AT}
        assert code_of(keep_record, reason="A claim", **asked) == "access.not-yours"
