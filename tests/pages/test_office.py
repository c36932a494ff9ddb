"""The office's pages."""

from datetime import timedelta

import pytest
from django.test import Client

from shopsafe.school.models import Person, Section, Shop, Term
from tests.cast import Cast

PASSWORD = "nine teak boards planed true"


@pytest.fixture
def office(client: Client, cast: Cast) -> Client:
    client.force_login(cast.office)
    return client


def test_lists_what_the_school_has_and_nothing_of_next_door(office: Client, cast: Cast) -> None:
    text = office.get("/office/").content.decode()
    for seen in (cast.section.name, cast.section.term.name, cast.shop.name, cast.teacher.name, cast.substitute.name):
        assert seen in text
    for hidden in (cast.stranger_section.name, cast.stranger_teacher.name):
        assert hidden not in text


def test_a_term_gets_another_last_day(office: Client, cast: Cast) -> None:
    term = cast.section.term
    page = office.get(f"/office/terms/{term.pk}/").content.decode()
    assert f'value="{term.last_day:%Y-%m-%d}"' in page
    sent = {"name": term.name, "first_day": term.first_day, "last_day": term.last_day + timedelta(days=7)}
    assert office.post(f"/office/terms/{term.pk}/", sent).status_code == 302
    assert Term.objects.get(pk=term.pk).last_day == sent["last_day"]


def test_a_term_that_would_end_before_it_begins_is_told_and_kept(office: Client, cast: Cast) -> None:
    term = cast.section.term
    sent = {"name": term.name, "first_day": term.last_day, "last_day": term.first_day}
    answer = office.post(f"/office/terms/{term.pk}/", sent)
    assert answer.status_code == 422
    assert Term.objects.get(pk=term.pk).last_day == term.last_day


def test_a_term_next_door_is_not_there(office: Client, cast: Cast) -> None:
    assert office.get(f"/office/terms/{cast.stranger_section.term_id}/").status_code == 404


def test_adds_a_term_a_shop_a_class_and_a_teacher(office: Client, cast: Cast) -> None:
    office.post("/office/terms/add/", {"name": "Spring", "first_day": "2027-01-18", "last_day": "2027-06-04"})
    office.post("/office/shops/add/", {"name": "Room W9", "teachers": [cast.teacher.pk]})
    term, shop = Term.objects.get(name="Spring"), Shop.objects.get(name="Room W9")
    sent = {"name": "9 Oak", "term": term.pk, "shop": shop.pk, "teachers": [cast.teacher.pk]}
    office.post("/office/classes/add/", sent)
    assert list(Section.objects.get(name="9 Oak").teachers.all()) == [cast.teacher]
    sent = {"name": "Mr Bexley", "role": "teacher", "password": PASSWORD, "shops": [shop.pk]}
    page = office.post("/office/staff/add/", sent, follow=True)
    assert "Mr Bexley: kept." in page.content.decode()
    assert PASSWORD not in page.content.decode()
    assert Person.objects.get(name="Mr Bexley").check_password(PASSWORD)


def test_gives_a_class_other_teachers(office: Client, cast: Cast) -> None:
    office.post(f"/office/classes/{cast.section.pk}/teachers/", {"teachers": [cast.colleague.pk]})
    assert list(cast.section.teachers.all()) == [cast.colleague]


@pytest.mark.parametrize(
    ("address", "sent", "said"),
    [
        ("terms", {"name": "Back", "first_day": "2027-02-02", "last_day": "2027-02-01"}, "be before its first day"),
        ("terms", {"name": "Odd", "first_day": "31/31/2027", "last_day": "2027-02-01"}, "valid date"),
        ("shops", {"name": ""}, "required"),
        ("staff", {"name": "Mr Bexley", "role": "teacher", "password": "too short"}, "15 characters"),
        ("staff", {"name": "Mr Bexley", "role": "student", "password": PASSWORD}, "valid choice"),
    ],
)
def test_what_can_not_be_kept_is_told(office: Client, address: str, sent: dict[str, str], said: str) -> None:
    before = Person.objects.count(), Term.objects.count(), Shop.objects.count()
    page = office.post(f"/office/{address}/add/", sent)
    assert page.status_code == 422
    assert said in page.content.decode()
    assert "Error: " in page.content.decode().split("</title>")[0]
    assert (Person.objects.count(), Term.objects.count(), Shop.objects.count()) == before


def test_a_password_is_not_sent_back(office: Client) -> None:
    page = office.post("/office/staff/add/", {"name": "", "role": "teacher", "password": PASSWORD})
    assert PASSWORD not in page.content.decode()


def test_offers_no_shop_or_teacher_of_next_door(office: Client, cast: Cast) -> None:
    sent = {"name": "9 Oak", "term": cast.section.term.pk, "shop": cast.stranger_section.shop.pk}
    assert office.post("/office/classes/add/", sent).status_code == 422
    sent = {"name": "Room W9", "teachers": [cast.stranger_teacher.pk]}
    assert office.post("/office/shops/add/", sent).status_code == 422
