"""A cookie opens pages for as long as its sign-in lasts, and not a request longer."""

from datetime import datetime, timedelta
from io import StringIO

import pytest
import time_machine
from django.conf import settings
from django.core.management import call_command
from django.test import Client
from django.utils import timezone

from machines.records.acts import erase_student
from shopsafe.school.models import Person, School, Session
from shopsafe.school.pages.middleware import BY_ITSELF
from shopsafe.school.people.acts.staff import end_access, set_password
from shopsafe.school.people.acts.students import issue_slips
from shopsafe.school.signing_in.acts import change_password
from shopsafe.school.signing_in.sessions.lifetime import clear_ended_sessions
from shopsafe.school.signing_in.sessions.store import SessionStore
from tests.cast import Cast
from tests.counting import queries
from tests.factories.machines import NOON
from tests.factories.people import CODE, PASSWORD


def signed_in(person: Person) -> Client:
    client = Client()
    code = PASSWORD if person.is_teacher else CODE
    answer = client.post("/sign-in/", {"name": person.sign_in_name, "code": code})
    assert answer.status_code == 302
    client.get(answer.headers["Location"])
    return client


def replay(client: Client) -> Client:
    """Another browser with the same cookie."""
    copy = Client()
    copy.cookies[settings.SESSION_COOKIE_NAME] = client.cookies[settings.SESSION_COOKIE_NAME].value
    return copy


def is_signed_in(client: Client) -> bool:
    answer = client.get("/")
    return not answer.headers["Location"].startswith("/sign-in/")


class TestEnds:
    def test_cookie_opens_nothing_after_sign_out(self, cast: Cast) -> None:
        client = signed_in(cast.student)
        thief = replay(client)
        assert is_signed_in(thief)
        client.post("/sign-out/")
        assert not is_signed_in(thief)
        assert not Session.objects.exists()

    def test_cookie_opens_nothing_after_access_ended(self, cast: Cast) -> None:
        client, colleague = signed_in(cast.teacher), signed_in(cast.colleague)
        end_access(person=cast.teacher, by=cast.office, at=NOON)
        assert not is_signed_in(client)
        assert is_signed_in(colleague)

    def test_cookie_opens_nothing_after_the_office_set_a_new_password(self, cast: Cast) -> None:
        client = signed_in(cast.teacher)
        set_password(person=cast.teacher, password="a short plank of oak", by=cast.office, at=NOON)
        assert not is_signed_in(client)

    def test_other_cookies_open_nothing_after_changing_the_own_password(self, cast: Cast) -> None:
        here, elsewhere = signed_in(cast.teacher), signed_in(cast.teacher)
        new = "a short plank of oak"
        here.post("/password/", {"current": PASSWORD, "password": new, "again": new})
        assert is_signed_in(here)
        assert not is_signed_in(elsewhere)
        assert Session.objects.count() == 1

    def test_cookie_opens_nothing_after_a_new_slip(self, cast: Cast) -> None:
        client = signed_in(cast.student)
        issue_slips(section=cast.section, students=[cast.student], by=cast.teacher, at=NOON)
        assert not is_signed_in(client)

    def test_cookie_opens_nothing_after_the_role_was_withdrawn(self, cast: Cast) -> None:
        client = signed_in(cast.teacher)
        Person.objects.filter(pk=cast.teacher.pk).update(role="substitute")
        assert not is_signed_in(client)

    def test_session_with_an_old_password_is_refused(self, cast: Cast) -> None:
        client = signed_in(cast.teacher)
        row = Session.objects.get()
        change_password(person=cast.teacher, current=PASSWORD, password="a short plank of oak", at=NOON)
        row.save(force_insert=True)
        assert not is_signed_in(client)

    def test_use_that_is_noted_after_the_sign_out_brings_no_session_back(self, cast: Cast) -> None:
        client = signed_in(cast.student)
        store = SessionStore(client.cookies[settings.SESSION_COOKIE_NAME].value)
        assert store.person == cast.student
        client.post("/sign-out/")
        store.note_use(timezone.now() + timedelta(minutes=5))
        assert not Session.objects.exists()


class TestReads:
    def test_session_person_and_school_are_read_in_one_statement(self, cast: Cast) -> None:
        client = signed_in(cast.student)
        client.get("/bench/")
        with queries() as sent:
            client.get("/")
        assert len(sent) == 1, sent

    def test_page_without_a_session_reads_none(self, cast: Cast) -> None:
        with queries() as sent:
            Client().get("/sign-in/", {"name": "x"})
        assert not any("school_session" in sql for sql in sent)


class TestIdle:
    """A student's sign-in ends after ten minutes without use, a teacher's after thirty; noted to the minute."""

    def minutes_later(self, client: Client, minutes: float) -> bool:
        with time_machine.travel(NOON + timedelta(minutes=minutes), tick=False):
            return is_signed_in(client)

    def open_at_noon(self, person: Person) -> Client:
        with time_machine.travel(NOON, tick=False):
            return signed_in(person)

    @pytest.mark.parametrize(("role", "minutes"), [("student", 10), ("teacher", 30), ("office", 30)])
    def test_sign_in_ends_within_a_minute_after_the_idle_time(self, cast: Cast, role: str, minutes: int) -> None:
        person = getattr(cast, role)
        assert self.minutes_later(self.open_at_noon(person), minutes - 0.1)
        assert not self.minutes_later(self.open_at_noon(person), minutes + 1)

    def test_use_puts_the_end_off(self, cast: Cast) -> None:
        client = self.open_at_noon(cast.student)
        assert all(self.minutes_later(client, minutes) for minutes in range(9, 90, 9))

    def test_page_that_asks_by_itself_does_not_put_the_end_off(self, cast: Cast) -> None:
        client = self.open_at_noon(cast.student)
        with time_machine.travel(NOON + timedelta(minutes=9), tick=False):
            client.get("/bench/", headers={BY_ITSELF: "1"})
        assert not self.minutes_later(client, 12)

    def test_page_that_asks_by_itself_gets_no_sign_in_page(self, cast: Cast) -> None:
        answer = Client().get("/bench/", headers={BY_ITSELF: "1"})
        assert (answer.status_code, answer.content) == (204, b"")

    def test_page_that_says_it_is_in_use_puts_the_end_off(self, cast: Cast) -> None:
        client = self.open_at_noon(cast.student)
        with time_machine.travel(NOON + timedelta(minutes=9), tick=False):
            assert client.post("/stay/").status_code == 204
        assert self.minutes_later(client, 18)
        assert Client().post("/stay/", headers={"Accept": "application/json"}).status_code == 401

    def test_every_page_says_after_how_many_minutes_it_ends(self, cast: Cast) -> None:
        for person, minutes in ((cast.student, 10), (cast.teacher, 30)):
            client = Client()
            client.force_login(person)
            assert f'data-minutes="{minutes}"' in client.get("/", follow=True).content.decode()

    def test_sign_in_ends_after_eight_hours_of_use(self, cast: Cast) -> None:
        client = self.open_at_noon(cast.teacher)
        assert all(self.minutes_later(client, minutes) for minutes in range(0, 480, 25))
        assert not self.minutes_later(client, 480)

    def test_school_sets_the_idle_time_and_open_sessions_follow(self, cast: Cast) -> None:
        client = self.open_at_noon(cast.student)
        School.objects.update(idle_minutes_student=45)
        assert self.minutes_later(client, 2)
        assert self.minutes_later(client, 46)

    def test_use_within_the_minute_writes_nothing(self, cast: Cast) -> None:
        client = self.open_at_noon(cast.student)
        with time_machine.travel(NOON + timedelta(seconds=59), tick=False), queries() as sent:
            client.get("/")
        assert not [sql for sql in sent if not sql.lstrip().startswith("SELECT")]


class TestCleared:
    def sessions(self, person: Person, count: int, ended_at: datetime) -> None:
        Session.objects.bulk_create(
            Session(
                session_key=f"{ended_at:%H%M}{number:028}",
                session_data="{}",
                person=person,
                began_at=NOON,
                seen_at=NOON,
                expire_date=ended_at,
            )
            for number in range(count)
        )

    def test_ended_sessions_are_cleared_in_pieces_the_oldest_first(self, cast: Cast) -> None:
        self.sessions(cast.student, 3, NOON)
        self.sessions(cast.student, 3, NOON - timedelta(hours=1))
        self.sessions(cast.student, 3, NOON + timedelta(hours=1))
        assert clear_ended_sessions(NOON, most=4) == 4
        assert Session.objects.filter(expire_date__lt=NOON).count() == 0
        assert clear_ended_sessions(NOON, most=4) == 2
        assert clear_ended_sessions(NOON, most=4) == 0
        assert Session.objects.count() == 3

    def test_each_sign_in_clears_some(self, cast: Cast) -> None:
        self.sessions(cast.classmate, 3, NOON)
        signed_in(cast.student)
        assert Session.objects.get().person == cast.student

    def test_command_clears_all_that_ended(self, cast: Cast) -> None:
        self.sessions(cast.student, 5, NOON)
        output = StringIO()
        call_command("clear_sessions", stdout=output)
        assert output.getvalue() == '{"cleared": 5}\n'

    def test_erasing_a_student_reads_no_session_of_others(self, cast: Cast) -> None:
        cast.student.enrollments.update(until_day=(NOON - timedelta(days=30)).date())
        self.sessions(cast.classmate, 200, NOON)
        self.sessions(cast.student, 2, NOON - timedelta(minutes=1))
        with queries() as sent:
            erase_student(student=cast.student, reason="Asked for.", by=cast.office, at=NOON)
        about_sessions = [sql for sql in sent if "school_session" in sql]
        assert all('"person_id"' in sql for sql in about_sessions), about_sessions
        assert len(about_sessions) <= 3
        assert Session.objects.count() == 200
