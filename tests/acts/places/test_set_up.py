"""The office sets the school up."""

from datetime import UTC, date, datetime
from typing import Any

import pytest
from django.http import Http404

from shopsafe.school.models import Person
from shopsafe.school.places.acts.set_up import (
    add_section,
    add_shop,
    add_staff,
    add_term,
    change_term,
    rename_section,
    rename_shop,
    set_shop_teachers,
    set_teachers,
)
from shopsafe.school.refusals import Refused
from shopsafe.school.signing_in.acts import sign_in
from tests.acts.reading import code_of, entries
from tests.cast import Cast

AT = datetime(2026, 10, 12, 15, 0, tzinfo=UTC)
PASSWORD = "nine teak boards planed true"


def term(cast: Cast, **more: Any) -> Any:
    days = {"first_day": date(2027, 1, 18), "last_day": date(2027, 6, 4)}
    return add_term(**{"name": "Spring", "by": cast.office, "at": AT} | days | more)


def another_end(cast: Cast, **more: Any) -> Any:
    days = {"first_day": date(2026, 9, 1), "last_day": date(2026, 12, 24)}
    return change_term(**{"term": cast.section.term, "name": "Autumn", "by": cast.office, "at": AT} | days | more)


def shop(cast: Cast, **more: Any) -> Any:
    return add_shop(**{"name": "Room W3", "teachers": [cast.teacher], "by": cast.office, "at": AT} | more)


def section(cast: Cast, **more: Any) -> Any:
    place = {"term": cast.section.term, "shop": cast.shop, "teachers": [cast.other_teacher]}
    return add_section(**{"name": "9 Oak", "by": cast.office, "at": AT} | place | more)


def staff(cast: Cast, **more: Any) -> Any:
    who = {"name": "Inga Vale", "role": "teacher", "password": PASSWORD, "shops": [cast.shop]}
    return add_staff(**{"by": cast.office, "at": AT} | who | more)


def teachers(cast: Cast, **more: Any) -> Any:
    return set_teachers(**{"section": cast.section, "teachers": [cast.colleague], "by": cast.office, "at": AT} | more)


def shop_teachers(cast: Cast, **more: Any) -> Any:
    asked = {"shop": cast.shop, "teachers": [cast.teacher], "by": cast.office, "at": AT}
    return set_shop_teachers(**asked | more)


def class_renamed(cast: Cast, **more: Any) -> Any:
    return rename_section(**{"section": cast.section, "name": "9 Oak", "by": cast.office, "at": AT} | more)


def shop_renamed(cast: Cast, **more: Any) -> Any:
    return rename_shop(**{"shop": cast.shop, "name": "Room W9", "by": cast.office, "at": AT} | more)


def test_a_term_a_shop_a_class(cast: Cast) -> None:
    assert term(cast).school == cast.school
    assert list(shop(cast).teachers.all()) == [cast.teacher]
    new_section = section(cast)
    assert list(new_section.teachers.all()) == [cast.other_teacher]
    assert cast.other_teacher in cast.shop.teachers.all()
    assert [len(entries(kind)) for kind in ("term.added", "shop.added", "section.added")] == [1, 1, 1]


def test_a_term_ends_later_than_was_thought(cast: Cast) -> None:
    arguments = {"term": term(cast), "name": "Spring term", "first_day": date(2027, 1, 18), "by": cast.office, "at": AT}
    changed = change_term(last_day=date(2027, 6, 11), **arguments)
    assert (changed.name, changed.last_day) == ("Spring term", date(2027, 6, 11))
    assert ['"last_day":"2027-06-04"' in text for text in entries("term.changed")] == [True]


@pytest.mark.parametrize(
    ("day", "code"), [(date(2027, 6, 3), None), (date(2027, 6, 2), "term.over"), (date(2027, 1, 1), "term.over")]
)
def test_a_term_that_runs_ends_today_at_the_earliest(cast: Cast, day: date, code: str | None) -> None:
    new_term = term(cast)
    today = datetime(2027, 6, 4, 3, 0, tzinfo=UTC)  # still the 3rd in Chicago
    arguments = {
        "term": new_term,
        "name": "Spring",
        "first_day": new_term.first_day,
        "last_day": day,
        "by": cast.office,
    }
    if code:
        assert code_of(change_term, at=today, **arguments) == code
    else:
        assert change_term(at=today, **arguments).last_day == day


def test_a_term_that_is_over_ends_when_it_ended(cast: Cast) -> None:
    arguments = {"term": term(cast), "name": "Spring", "first_day": date(2027, 1, 18), "by": cast.office}
    after = datetime(2027, 6, 8, 15, 0, tzinfo=UTC)
    assert code_of(change_term, last_day=date(2027, 6, 30), at=after, **arguments) == "term.over"
    assert change_term(last_day=date(2027, 6, 4), at=after, **arguments | {"name": "Spring 2027"}).name == "Spring 2027"


def test_a_term_keeps_a_name_and_days_that_make_sense(cast: Cast) -> None:
    arguments = {"term": term(cast), "first_day": date(2027, 1, 18), "by": cast.office, "at": AT}
    assert (
        code_of(change_term, name=cast.section.term.name, last_day=date(2027, 6, 4), **arguments) == "set-up.not-valid"
    )
    assert code_of(change_term, name="Spring", last_day=date(2027, 1, 17), **arguments) == "set-up.not-valid"
    assert code_of(change_term, name="Spring", last_day=date(2062, 6, 4), **arguments) == "term.too-long"
    assert not entries("term.changed")


def test_term_of_another_school_returns_404(cast: Cast) -> None:
    far = cast.stranger_section.term
    days = {"first_day": far.first_day, "last_day": far.last_day}
    with pytest.raises(Http404):
        change_term(term=far, name="Ours", by=cast.office, at=AT, **days)


def test_renamed_class_and_shop_are_recorded_with_the_old_name(cast: Cast) -> None:
    before = cast.section.name, cast.shop.name
    assert (class_renamed(cast).name, shop_renamed(cast).name) == ("9 Oak", "Room W9")
    payloads = [entries("section.renamed")[0], entries("shop.renamed")[0]]
    assert [f'"before":"{name}"' in payload for name, payload in zip(before, payloads, strict=True)] == [True, True]


def test_unchanged_name_writes_no_entry_and_taken_name_is_refused(cast: Cast) -> None:
    class_renamed(cast, name=cast.section.name)
    shop_renamed(cast, name=cast.shop.name)
    section(cast)
    shop(cast)
    assert code_of(class_renamed, cast, name="9 Oak") == "set-up.not-valid"
    assert code_of(shop_renamed, cast, name="Room W3") == "set-up.not-valid"
    assert not entries("section.renamed") + entries("shop.renamed")


def test_class_and_shop_of_another_school_cannot_be_renamed(cast: Cast) -> None:
    with pytest.raises(Http404):
        class_renamed(cast, section=cast.stranger_section)
    with pytest.raises(Http404):
        shop_renamed(cast, shop=cast.stranger_section.shop)


def test_other_teachers_take_a_class_over(cast: Cast) -> None:
    teachers(cast)
    assert list(cast.section.teachers.all()) == [cast.colleague]
    assert len(entries("section.teachers_set")) == 1


@pytest.mark.parametrize("role", ["teacher", "substitute", "office"])
def test_added_staff_sign_in_with_a_password_stored_only_as_a_hash(cast: Cast, role: str) -> None:
    person = staff(cast, role=role)
    assert sign_in(name="Inga Vale", code=PASSWORD, at=AT) == person
    assert list(person.shops.all()) == ([cast.shop] if role == "teacher" else [])
    assert PASSWORD not in entries("staff.added")[0] + Person.objects.get(pk=person.pk).password


@pytest.mark.parametrize("password", ["", "fourteen signs", "password1234567"[:14]])
def test_a_short_password_is_refused(cast: Cast, password: str) -> None:
    assert code_of(staff, cast, password=password) == "set-up.weak-password"


def test_second_staff_account_with_the_same_name_is_refused(cast: Cast) -> None:
    staff(cast)
    assert code_of(staff, cast, name="inga  VALE") == "set-up.same-name"


def test_returning_staff_member_is_restored_and_not_added_again(cast: Cast) -> None:
    Person.objects.filter(pk=staff(cast).pk).update(is_active=False)
    with pytest.raises(Refused, match="Let the same person in again") as refused:
        staff(cast)
    assert refused.value.code == "set-up.same-name"


def test_no_one_becomes_a_student_here(cast: Cast) -> None:
    assert code_of(staff, cast, role="student") == "set-up.not-valid"


def test_invalid_setup_data_is_refused_with_a_sentence(cast: Cast) -> None:
    term(cast)
    assert code_of(term, cast) == "set-up.not-valid"
    assert code_of(term, cast, name="Long", last_day=date(2028, 2, 23)) == "term.too-long"
    assert term(cast, name="Long", last_day=date(2028, 2, 22)).name == "Long", "400 days"
    assert code_of(term, cast, name="Back", first_day=date(2027, 2, 2), last_day=date(2027, 2, 1)) == "set-up.not-valid"
    assert code_of(shop, cast, name=cast.shop.name) == "set-up.not-valid"
    assert code_of(section, cast, name=cast.section.name) == "set-up.not-valid"
    assert code_of(section, cast, name="") == "set-up.not-valid"


def test_only_teachers_teach(cast: Cast) -> None:
    for deed in (shop, section, teachers, shop_teachers):
        assert code_of(deed, cast, teachers=[cast.substitute]) == "set-up.no-teacher", deed


def test_nothing_of_another_school_is_taken(cast: Cast) -> None:
    for deed in (shop, section, teachers, shop_teachers):
        assert code_of(deed, cast, teachers=[cast.stranger_teacher]) == "set-up.elsewhere", deed
    assert code_of(section, cast, term=cast.stranger_section.term) == "set-up.elsewhere"
    assert code_of(section, cast, shop=cast.stranger_section.shop) == "access.not-yours"
    assert code_of(staff, cast, shops=[cast.stranger_section.shop]) == "set-up.elsewhere"
    assert code_of(teachers, cast, section=cast.stranger_section) == "access.not-yours"


def test_only_the_office_sets_up(cast: Cast) -> None:
    for person in cast.not_office:
        for deed in (term, shop, staff, teachers, shop_teachers, another_end, class_renamed, shop_renamed):
            assert code_of(deed, cast, by=person) == "access.not-yours", (person, deed)


def test_teacher_adds_a_class_in_an_own_shop_and_teaches_it(cast: Cast) -> None:
    added = section(cast, by=cast.colleague, teachers=[])
    assert list(added.teachers.all()) == [cast.colleague]
    assert len(entries("section.added")) == 1
    may_not = [person for person in cast.not_office if person not in (cast.teacher, cast.colleague)]
    for person in may_not:
        assert code_of(section, cast, name="9 Ash", by=person) == "access.not-yours", person


def test_teachers_of_a_shop_change_but_those_who_teach_a_class_there_stay(cast: Cast) -> None:
    assert code_of(shop_teachers, cast, teachers=[cast.other_teacher]) == "shop.teaches"
    shop_teachers(cast, teachers=[cast.teacher, cast.other_teacher])
    assert set(cast.shop.teachers.all()) == {cast.teacher, cast.other_teacher}
    after = datetime(2027, 1, 20, 15, 0, tzinfo=UTC)  # the term of the class is over
    shop_teachers(cast, teachers=[cast.other_teacher], at=after)
    assert list(cast.shop.teachers.all()) == [cast.other_teacher]
    assert len(entries("shop.teachers_set")) == 2
