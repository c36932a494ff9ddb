"""The office's pages."""

import re
from datetime import date, timedelta

import pytest
from django.test import Client
from django.utils import timezone

from shopsafe.school.models import Person, Section, Shop, Term
from shopsafe.school.places.queries import term_at
from tests.acts.reading import last_entry
from tests.cast import Cast
from tests.factories.people import PersonFactory, TermFactory

PASSWORD = "nine teak boards planed true"


@pytest.fixture
def office(client: Client, cast: Cast) -> Client:
    client.force_login(cast.office)
    return client


def test_office_page_lists_only_its_own_school(office: Client, cast: Cast) -> None:
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


def test_term_that_ends_before_it_begins_is_refused(office: Client, cast: Cast) -> None:
    term = cast.section.term
    sent = {"name": term.name, "first_day": term.last_day, "last_day": term.first_day}
    answer = office.post(f"/office/terms/{term.pk}/", sent)
    assert answer.status_code == 422
    assert Term.objects.get(pk=term.pk).last_day == term.last_day


def test_term_of_another_school_returns_404(office: Client, cast: Cast) -> None:
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
    assert "Mr Bexley: kept. The name to sign in with is Mr Bexley." in page.content.decode()
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
def test_invalid_office_form_shows_an_error(office: Client, address: str, sent: dict[str, str], said: str) -> None:
    before = Person.objects.count(), Term.objects.count(), Shop.objects.count()
    page = office.post(f"/office/{address}/add/", sent)
    assert page.status_code == 422
    assert said in page.content.decode()
    assert "Error: " in page.content.decode().split("</title>")[0]
    assert (Person.objects.count(), Term.objects.count(), Shop.objects.count()) == before


def test_a_password_is_not_sent_back(office: Client) -> None:
    page = office.post("/office/staff/add/", {"name": "", "role": "teacher", "password": PASSWORD})
    assert PASSWORD not in page.content.decode()


def test_shops_and_teachers_of_another_school_are_refused(office: Client, cast: Cast) -> None:
    sent = {"name": "9 Oak", "term": cast.section.term.pk, "shop": cast.stranger_section.shop.pk}
    assert office.post("/office/classes/add/", sent).status_code == 422
    sent = {"name": "Room W9", "teachers": [cast.stranger_teacher.pk]}
    assert office.post("/office/shops/add/", sent).status_code == 422


def test_staff_with_a_taken_name_get_a_numbered_sign_in_name(office: Client, cast: Cast) -> None:
    taken = cast.stranger_teacher.name
    sent = {"name": taken, "role": "teacher", "password": PASSWORD}
    page = office.post("/office/staff/add/", sent, follow=True).content.decode()
    assert f"{taken}: kept. The name to sign in with is {taken} 2." in page


def test_a_term_that_shares_days_with_another_says_so(office: Client, cast: Cast) -> None:
    term = cast.section.term
    sent = {"name": "Two weeks", "first_day": term.last_day, "last_day": term.last_day + timedelta(days=13)}
    page = office.post("/office/terms/add/", sent, follow=True).content.decode()
    assert f"It shares days with {term.name}, August 31, 2026 to January 15, 2027." in page
    sent = {"name": "Later", "first_day": "2027-06-01", "last_day": "2027-06-30"}
    page = office.post("/office/terms/add/", sent, follow=True).content.decode()
    assert "Later: kept." in page
    assert "shares days" not in page


@pytest.mark.parametrize(
    ("today", "chosen"),
    [
        (date(2026, 8, 30), "Autumn"),
        (date(2026, 11, 2), "Autumn"),
        (date(2027, 1, 16), "Spring"),
        (date(2027, 6, 30), "Spring"),
    ],
)
def test_a_class_is_offered_the_term_that_runs_or_else_the_next(cast: Cast, today: date, chosen: str) -> None:
    Term.objects.filter(pk=cast.section.term_id).update(name="Autumn")
    spring = {"first_day": date(2027, 1, 18), "last_day": date(2027, 6, 4)}
    TermFactory(school=cast.school, name="Spring", **spring)
    term = term_at(cast.office, today)
    assert term
    assert term.name == chosen


def test_the_page_preselects_that_term(office: Client, cast: Cast) -> None:
    today = timezone.now().date()
    running = TermFactory(
        school=cast.school, name="Now", first_day=today - timedelta(days=3), last_day=today + timedelta(days=3)
    )
    later = today + timedelta(days=300)
    TermFactory(school=cast.school, name="Then", first_day=later, last_day=later)
    assert f'<option value="{running.pk}" selected>Now' in office.get("/office/classes/add/").content.decode()


def test_renames_a_class_and_a_shop(office: Client, cast: Cast) -> None:
    page = office.post(f"/office/classes/{cast.section.pk}/", {"name": "9 Oak"}, follow=True).content.decode()
    assert "9 Oak: kept." in page
    office.post(f"/office/shops/{cast.shop.pk}/", {"name": "Room W9"})
    cast.section.refresh_from_db()
    cast.shop.refresh_from_db()
    assert (cast.section.name, cast.shop.name) == ("9 Oak", "Room W9")


def test_each_form_says_what_its_button_does(office: Client, cast: Cast) -> None:
    for address, label in [
        (f"classes/{cast.section.pk}/teachers", "Save"),
        (f"classes/{cast.section.pk}", "Save"),
        (f"terms/{cast.section.term_id}", "Save"),
        ("staff/add", "Add this person"),
    ]:
        assert f'<button class="button">{label}</button>' in office.get(f"/office/{address}/").content.decode(), address


class TestStaff:
    def test_a_new_password_ends_the_old_one_and_is_not_sent_back(self, office: Client, cast: Cast) -> None:
        address = f"/office/staff/{cast.teacher.pk}/password/"
        assert office.post(address, {"password": "too short"}).status_code == 422
        page = office.post(address, {"password": PASSWORD}, follow=True).content.decode()
        assert f"{cast.teacher.name} has a new password" in page
        assert PASSWORD not in page
        cast.teacher.refresh_from_db()
        assert cast.teacher.check_password(PASSWORD)

    def test_a_new_password_ends_the_sessions_of_the_old_one(self, office: Client, cast: Cast) -> None:
        signed = Client()
        signed.force_login(cast.teacher)
        assert signed.get("/people/").status_code == 200
        office.post(f"/office/staff/{cast.teacher.pk}/password/", {"password": PASSWORD})
        assert signed.get("/people/").headers["Location"].startswith("/sign-in/")

    def test_office_person_stays_signed_in_after_a_password_change(self, office: Client, cast: Cast) -> None:
        page = office.post(f"/office/staff/{cast.office.pk}/password/", {"password": PASSWORD}, follow=True)
        assert page.status_code == 200
        assert "has a new password" in page.content.decode()

    def test_ended_access_ends_an_open_session_and_a_sign_in(self, office: Client, cast: Cast) -> None:
        signed = Client()
        signed.force_login(cast.teacher)
        page = office.post(f"/office/staff/{cast.teacher.pk}/end/", follow=True).content.decode()
        assert f"{cast.teacher.name} can&#x27;t sign in any more." in page
        assert "Access ended" in page
        assert f"{cast.teacher.name} (access ended)" in page
        assert signed.get("/people/").headers["Location"].startswith("/sign-in/")

    def test_let_in_again(self, office: Client, cast: Cast) -> None:
        Person.objects.filter(pk=cast.teacher.pk).update(is_active=False)
        page = office.post(f"/office/staff/{cast.teacher.pk}/let-in/", follow=True).content.decode()
        assert f"{cast.teacher.name} may sign in again" in page
        assert "Access ended" not in page

    def test_one_s_own_end_is_not_offered_and_is_refused_on_the_page(self, office: Client, cast: Cast) -> None:
        PersonFactory(school=cast.school, role="office")
        address = f"/office/staff/{cast.office.pk}/end/"
        assert address not in office.get("/office/").content.decode()
        page = office.post(address)
        assert page.status_code == 409
        assert "No one ends their own access." in page.content.decode()
        assert office.get("/office/").status_code == 200

    def test_staff_pages_return_404_for_students_and_other_schools(self, office: Client, cast: Cast) -> None:
        for person in (cast.student, cast.stranger_teacher):
            for way in ("password", "end", "let-in"):
                assert office.post(f"/office/staff/{person.pk}/{way}/").status_code == 404


class TestConventions:
    def test_office_chooses_how_dates_are_written(self, office: Client, cast: Cast) -> None:
        before = office.get("/office/conventions/").content.decode()
        answer = office.post("/office/conventions/", {"conventions": "international"}, follow=True).content.decode()
        assert "checked" in before.split('value="us"')[1].split(">")[0]
        assert re.search(r"Dates are written like \d{1,2} [A-Z][a-z]+ \d{4}\.", answer)
        cast.school.refresh_from_db()
        assert cast.school.conventions == "international"
        kind, payload = last_entry()
        assert (kind, payload["conventions"]) == ("conventions.set", "international")

    def test_other_conventions_than_the_two_are_refused_at_the_field(self, office: Client, cast: Cast) -> None:
        answer = office.post("/office/conventions/", {"conventions": "roman"})
        assert answer.status_code == 422
        assert "roman is not one of the available choices" in answer.content.decode()
        cast.school.refresh_from_db()
        assert cast.school.conventions == "us"


class TestIdleMinutes:
    def test_office_sets_when_sign_ins_end(self, office: Client, cast: Cast) -> None:
        answer = office.post("/office/idle/", {"minutes_student": 5, "minutes_staff": 60}, follow=True)
        assert "students are signed out after 5 minutes and staff after 60." in answer.content.decode()
        cast.school.refresh_from_db()
        assert (cast.school.idle_minutes_student, cast.school.idle_minutes_staff) == (5, 60)
        kind, payload = last_entry()
        assert (kind, payload["minutes_student"], payload["minutes_staff"]) == ("idle_minutes.set", 5, 60)

    @pytest.mark.parametrize("minutes", ["1", "481", "", "ten", "99999999999999999999"])
    def test_number_out_of_range_is_refused_at_its_field(self, office: Client, cast: Cast, minutes: str) -> None:
        answer = office.post("/office/idle/", {"minutes_student": minutes, "minutes_staff": 60})
        assert answer.status_code == 422
        assert 'id="id_minutes_student_error"' in answer.content.decode()
        cast.school.refresh_from_db()
        assert cast.school.idle_minutes_student == 10
