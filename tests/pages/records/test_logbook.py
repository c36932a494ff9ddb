"""/logbook/: who reads what, how it is searched, and whether it says that the record holds."""

import re
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from machines.records import logbook_search
from shopsafe.logbook import queries
from shopsafe.logbook.append import append
from shopsafe.logbook.models import Body, Erasure, Subject
from shopsafe.logbook.rules import chain
from shopsafe.school.models import Person
from tests.cast import Cast
from tests.counting import queries as counted
from tests.factories.logbook import AT, note
from tests.factories.people import EnrollmentFactory, PersonFactory

pytestmark = pytest.mark.django_db
MOST_QUERIES = 12


def page(client: Client, **query: Any) -> str:
    return client.get(reverse("logbook"), query).content.decode()


@pytest.fixture
def client(cast: Cast) -> Client:
    client = Client()
    client.force_login(cast.teacher)
    return client


class TestWhoReadsWhat:
    def test_a_teacher_reads_of_own_students_and_of_no_one_else_s(self, client: Client, cast: Cast) -> None:
        note(cast.student)
        elsewhere = PersonFactory(school=cast.school, role="student")
        hidden, far = note(elsewhere), note(cast.stranger_student)
        text = page(client)
        assert cast.student.name in text
        assert elsewhere.name not in text
        assert cast.stranger_student.name not in text
        for entry in (hidden, far):
            assert client.get(reverse("logbook-entry", args=[entry.seq])).status_code == 404

    def test_a_teacher_reads_what_names_no_student(self, client: Client, cast: Cast) -> None:
        append(kind="term.added", school=cast.school.pk, at=AT, payload={"by": cast.office.as_record()})
        assert f"Term: by {cast.office.name}" in page(client)

    def test_the_office_reads_the_school_and_no_other(self, cast: Cast) -> None:
        client = Client()
        client.force_login(cast.office)
        elsewhere = PersonFactory(school=cast.school, role="student")
        note(elsewhere), note(cast.stranger_student)
        text = page(client)
        assert elsewhere.name in text
        assert cast.stranger_student.name not in text

    def test_entry_is_hidden_when_it_names_a_student_of_another_teacher(self, client: Client, cast: Cast) -> None:
        elsewhere = PersonFactory(school=cast.school, role="student")
        entry = note(cast.student, witnesses=[elsewhere.as_record()])
        assert client.get(reverse("logbook-entry", args=[entry.seq])).status_code == 404

    def test_a_search_for_someone_else_s_student_is_a_404(self, client: Client, cast: Cast) -> None:
        assert client.get(reverse("logbook"), {"student": cast.stranger_student.pk}).status_code == 404

    @pytest.mark.parametrize("look", [1, 2, 3, 256])
    def test_pages_hold_what_one_statement_would_find(
        self, cast: Cast, look: int, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        elsewhere = PersonFactory(school=cast.school, role="student")
        for number in range(12):
            note([cast.student, elsewhere, cast.stranger_student, elsewhere][number % 4])
        monkeypatch.setattr(queries, "FIRST_LOOK", look)
        rows = queries.listings(cast.school.pk)
        for reader in (cast.teacher, cast.office, cast.other_teacher):
            by_statement = list(logbook_search.readable(reader))
            for count in (1, 2, 3, 30):
                assert logbook_search.first_readable(reader, rows, count) == by_statement[:count]

    def test_a_teacher_s_page_asks_no_statement_about_the_whole_logbook(self, cast: Cast, client: Client) -> None:
        note(cast.student)
        with counted() as sent:
            page(client)
        assert len(sent) <= MOST_QUERIES
        exclusions = [sql for sql in sent if "NOT EXISTS" in sql.upper() or "NOT (EXISTS" in sql.upper()]
        # What is left out by subject is left out of incidents alone, which the index of kinds finds.
        assert not [sql for sql in exclusions if '"kind" IN (' not in sql]


class TestSearch:
    def test_search_finds_part_of_a_name(self, client: Client, cast: Cast) -> None:
        note(cast.student), note(cast.classmate)
        text = page(client, who=cast.student.given_name)
        assert f"About {cast.student.name}" in text
        assert cast.classmate.name not in text

    def test_search_lists_all_students_with_a_shared_name(self, client: Client, cast: Cast) -> None:
        note(cast.student), note(cast.classmate)
        text = page(client, who="Vale")
        assert "People meant:" in text
        assert f'href="?student={cast.student.pk}"' in text
        assert cast.classmate.name in text

    def test_search_finds_kind_and_day_in_school_time(self, client: Client, cast: Cast) -> None:
        late = datetime(2026, 9, 15, 4, 30, tzinfo=UTC)  # 23:30 of the 14th in Chicago
        note(cast.student, at=late), note(cast.classmate, kind="slip.issued", at=late)
        same_day = page(client, since="2026-09-14", until="2026-09-14", kind="student.let_in")
        assert f"Unlocked: {cast.student.name}" in same_day
        assert cast.classmate.name not in same_day
        assert "No entry fits" in page(client, since="2026-09-15")
        assert "No entry fits" in page(client, until="2026-09-13")

    def test_reversed_days_show_an_error(self, client: Client) -> None:
        response = client.get(reverse("logbook"), {"since": "2026-09-15", "until": "2026-09-14"})
        assert response.status_code == 422
        assert "The last day can&#x27;t be before the first." in response.content.decode()

    @pytest.mark.parametrize("query", [{"since": "soon"}, {"machine": "9999"}, {"kind": "no.such"}, {"before": "x"}])
    def test_invalid_query_shows_an_error(self, client: Client, query: dict[str, str]) -> None:
        assert client.get(reverse("logbook"), query).status_code == 422

    def test_older_entries_are_a_page_away(self, client: Client, cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(logbook_search, "A_PAGE", 2)
        first, second, third = (note(cast.student, at=AT + timedelta(days=turn)) for turn in range(3))
        text = page(client, who="Vale")
        assert f"before={second.seq}" in text
        assert "September 14, 2026" not in text
        text = page(client, who="Vale", before=second.seq)
        assert "September 14, 2026" in text
        assert "Older entries" not in text
        assert first.seq < third.seq

    def test_asks_as_often_for_one_entry_as_for_thirty(
        self, client: Client, cast: Cast, django_assert_max_num_queries: Any
    ) -> None:
        note(cast.student)
        with connection.execute_wrapper(counter := Counter()):
            page(client, who="Vale")
        few = counter.count
        for _ in range(29):
            note(cast.student)
        with django_assert_max_num_queries(few):
            page(client, who="Vale")
        assert few <= 13


class Counter:
    def __init__(self) -> None:
        self.count = 0

    def __call__(self, execute: Any, *rest: Any) -> Any:
        self.count += 1
        return execute(*rest)


class TestEntry:
    def test_shows_all_that_it_says_as_an_outline(self, client: Client, cast: Cast) -> None:
        entry = note(cast.student, missed_rules=[{"code": "guard-low", "says": "Set the <b>guard</b> low."}], ok=True)
        text = client.get(reverse("logbook-entry", args=[entry.seq])).content.decode()
        assert "<b>Missed rules</b>" in text
        assert "Set the &lt;b&gt;guard&lt;/b&gt; low." in text
        assert "<b>Ok</b> yes" in text
        assert entry.hash.hex() in text

    def test_erased_entry_names_the_erasing_entry(self, client: Client, cast: Cast) -> None:
        entry = note(cast.student)
        payload = {"by": cast.office.as_record(), "reason": "left", "seqs": [entry.seq]}
        erasing_entry = append(kind=chain.ERASED, school=cast.school.pk, at=AT, payload=payload)
        Erasure.objects.create(entry_id=entry.seq, by=erasing_entry)
        Body.objects.filter(pk=entry.seq).delete()
        Subject.objects.filter(entry=entry.seq).delete()
        text = client.get(reverse("logbook-entry", args=[entry.seq])).content.decode()
        assert f"Unlocked: erased, as entry {erasing_entry.seq} says" in text
        assert cast.student.name not in text


def test_on_a_phone_an_entry_is_stacked_and_says_what_its_number_is(client: Client, cast: Cast) -> None:
    note(cast.student)
    client.force_login(cast.teacher)
    text = client.get("/logbook/").content.decode()
    assert '<table class="table stacks entries">' in text
    assert re.search(r'<span class="narrow-only">Entry </span>\d+</a>', text)


class TestNamesakes:
    @pytest.fixture
    def twin(self, cast: Cast) -> Person:
        cast.student.local_id = "884107"
        cast.student.save(update_fields=["local_id"])
        name = {"student__name": cast.student.name, "student__local_id": "884108"}
        return EnrollmentFactory(section=cast.section, **name).student

    def test_namesakes_are_listed_with_their_numbers(self, client: Client, cast: Cast, twin: Person) -> None:
        note(cast.student)
        note(twin)
        note(cast.classmate)
        page_text = page(client)
        assert page_text.count(f"{twin.name} (4107)") == page_text.count(f"{twin.name} (4108)") == 1
        assert f"{cast.classmate.name} (" not in page_text

    def test_the_entry_shows_what_was_written(self, client: Client, cast: Cast, twin: Person) -> None:
        entry = note(twin)
        page_text = client.get(reverse("logbook-entry", args=[entry.seq])).content.decode()
        lede, _, whole = page_text.partition("Everything it says")
        assert f"{twin.name} (4108)" in lede
        assert twin.name in whole
        assert "4108" not in whole

    def test_one_is_found_by_the_number(self, client: Client, cast: Cast, twin: Person) -> None:
        note(cast.student)
        note(twin)
        page_text = page(client, who="884108")
        assert f"{twin.name} (4108)" in page_text
        assert "(4107)" not in page_text
