"""The office's pages: the school's years, who has left, keeping a record, erasing one."""

from datetime import date, timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from machines.records.acts import erase_student
from machines.records.views import retention as views
from shopsafe.logbook.models import Entry
from shopsafe.school.models import Person
from shopsafe.school.people.acts.moves import end_enrollment
from tests.cast import Cast
from tests.counting import queries
from tests.factories.logbook import note
from tests.factories.people import EnrollmentFactory, PersonFactory
from tests.logbook.record import chain_holds

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(cast: Cast) -> Client:
    client = Client()
    client.force_login(cast.office)
    return client


@pytest.fixture
def left(cast: Cast) -> Person:
    """A student whose last class is over for years."""
    cast.student.enrollments.update(until_day=date(2020, 2, 29), from_day=date(2020, 1, 1))
    note(cast.student)
    return cast.student


def text_of(client: Client, name: str, *args: Any, **query: Any) -> str:
    return client.get(reverse(name, args=args), query).content.decode()


class TestYears:
    def test_are_kept_and_decide_who_is_due(self, office: Client, left: Person, cast: Cast) -> None:
        assert "Due now" not in text_of(office, "retention")
        answer = office.post(reverse("retention"), {"years": "5", "years_after_injury": ""})
        assert answer.status_code == 302
        cast.school.refresh_from_db()
        assert (cast.school.keep_years, cast.school.keep_years_injury) == (5, None)
        text = text_of(office, "retention")
        assert "1 due now" in text
        assert "Due now" in text

    @pytest.mark.parametrize("years", ["0", "-3", "five", "101"])
    def test_invalid_years_show_an_error(self, office: Client, cast: Cast, years: str) -> None:
        answer = office.post(reverse("retention"), {"years": years})
        assert answer.status_code == 422
        assert f'value="{years}"' in answer.content.decode()
        cast.school.refresh_from_db()
        assert cast.school.keep_years is None


class TestList:
    def test_shows_who_has_left_and_no_one_else(self, office: Client, left: Person, cast: Cast) -> None:
        text = text_of(office, "retention")
        assert left.name in text
        assert "February 29, 2020" in text
        assert cast.classmate.name not in text
        assert cast.stranger_student.name not in text

    def test_is_searched_by_part_of_a_name(self, office: Client, left: Person) -> None:
        assert left.name in text_of(office, "retention", who=left.given_name.lower())
        assert "No one of that name has left" in text_of(office, "retention", who="xyz")

    def test_asks_no_more_for_many(self, office: Client, left: Person, cast: Cast) -> None:
        with queries() as few:
            text_of(office, "retention")
        for _ in range(10):
            EnrollmentFactory(section=cast.section, until_day=date(2026, 9, 2))
        with queries() as many:
            text_of(office, "retention")
        assert len(many) == len(few)


class TestErase:
    def test_shows_what_goes_and_what_stays(self, office: Client, left: Person, cast: Cast) -> None:
        other = note(cast.classmate, words=f"with {left.name}")
        text = text_of(office, "student-erase", left.pk)
        assert "what 1 entry of the logbook says" in text
        assert "1 class" in text
        assert reverse("logbook-entry", args=[other.seq]) in text

    def test_needs_the_name_typed(self, office: Client, left: Person) -> None:
        address = reverse("student-erase", args=[left.pk])
        for typed in ("", "Somebody", left.given_name):
            answer = office.post(address, {"reason": "The family asked.", "typed": typed})
            assert answer.status_code == 422
            assert "The family asked." in answer.content.decode()
        assert Person.objects.filter(pk=left.pk).exists()

    def test_erases_and_tells_without_the_name(self, office: Client, left: Person) -> None:
        name = left.name
        address = reverse("student-erase", args=[left.pk])
        answer = office.post(address, {"reason": "The family asked.", "typed": name.upper()}, follow=True)
        text = answer.content.decode()
        assert "The record is erased: entry 2 says so." in text
        assert name not in text
        assert not Person.objects.filter(pk=left.pk).exists()
        assert chain_holds()
        assert office.get(address).status_code == 404
        assert "The family asked." in text_of(office, "logbook-entry", 2)
        assert "is erased, and can't be brought back" in text_of(office, "logbook-entry", 1)

    def test_second_erasure_request_reports_the_first(self, office: Client, left: Person, cast: Cast) -> None:
        address = reverse("student-erase", args=[left.pk])
        sent = {"reason": "The family asked.", "typed": left.name}
        assert office.post(address, sent).status_code == 302
        size = Entry.objects.count()
        again = office.post(address, sent, follow=True)
        assert again.redirect_chain == [(reverse("retention"), 302)]
        assert "The record is erased already: entry 2 says so." in again.content.decode()
        assert Entry.objects.count() == size

    def test_erasure_reports_a_simultaneous_erasure(
        self, office: Client, left: Person, cast: Cast, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """The second page was opened, and found the student, before the first erasure was stored."""
        real = views.access.student_for

        def found_just_before(asker: Person, pk: int) -> Person:
            student = real(asker, pk)
            erase_student(student=student, reason="The family asked.", by=cast.office, at=timezone.now())
            return student

        monkeypatch.setattr(views.access, "student_for", found_just_before)
        sent = {"reason": "The family asked.", "typed": left.name}
        again = office.post(reverse("student-erase", args=[left.pk]), sent, follow=True)
        assert "The record is erased already: entry 2 says so." in again.content.decode()

    def test_another_schools_erasure_is_not_there(self, office: Client, left: Person, cast: Cast) -> None:
        address, sent = reverse("student-erase", args=[left.pk]), {"reason": "Asked.", "typed": left.name}
        assert office.post(address, sent).status_code == 302
        stranger = Client()
        stranger.force_login(PersonFactory(school=cast.stranger_student.school, role="office"))
        assert stranger.post(address, sent).status_code == 404

    def test_erasure_of_an_enrolled_student_has_no_button(self, office: Client, cast: Cast) -> None:
        text = text_of(office, "student-erase", cast.student.pk)
        assert "The student is still in a class" in text
        assert '<button class="button stop"' not in text
        answer = office.post(
            reverse("student-erase", args=[cast.student.pk]), {"reason": "Asked", "typed": cast.student.name}
        )
        assert answer.status_code == 409
        assert Entry.objects.count() == 0


class TestKeep:
    def test_from_the_student_s_record_and_back(self, office: Client, left: Person) -> None:
        assert reverse("student-keep", args=[left.pk]) in text_of(office, "evidence", left.pk)
        office.post(reverse("student-keep", args=[left.pk]), {"reason": "A claim is open"})
        assert "The office keeps this record: A claim is open" in text_of(office, "evidence", left.pk)
        assert "A claim is open" in text_of(office, "student-erase", left.pk)
        assert "Kept by the office" in text_of(office, "retention")
        office.post(reverse("student-let-go", args=[left.pk]))
        assert "The office keeps" not in text_of(office, "evidence", left.pk)

    def test_needs_a_reason(self, office: Client, left: Person) -> None:
        assert office.post(reverse("student-keep", args=[left.pk]), {"reason": " "}).status_code == 422

    def test_a_teacher_sees_none_of_it(self, cast: Cast) -> None:
        client = Client()
        client.force_login(cast.teacher)
        assert "How long it is kept" not in text_of(client, "evidence", cast.student.pk)


class TestTheLastDay:
    def test_last_day_is_shown_on_the_list_and_the_erasure_page(self, office: Client, cast: Cast) -> None:
        assert "Today is the last day in a class" not in text_of(office, "retention")
        end_enrollment(section=cast.section, student=cast.student, by=cast.office, at=timezone.now())
        text = text_of(office, "retention")
        assert "Today is the last day in a class for 1 student." in text
        assert cast.student.name not in text
        text = text_of(office, "student-erase", cast.student.pk)
        assert "Today is the student&#x27;s last day in a class." in text
        assert "End that first" not in text

    def test_is_over_tomorrow(self, office: Client, cast: Cast) -> None:
        end_enrollment(section=cast.section, student=cast.student, by=cast.office, at=timezone.now())
        with time_machine.travel(timezone.now() + timedelta(days=1)):
            office.force_login(cast.office)
            assert cast.student.name in text_of(office, "retention")
            assert "It can't be erased now" not in text_of(office, "student-erase", cast.student.pk)
