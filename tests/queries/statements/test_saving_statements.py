"""The statements of a request and of saving an answer, in SQL: the rows that the ORM would read, found by an index."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.db import connection, transaction
from django.test import Client
from django.utils import timezone

from quizzes.access import attempts_for
from quizzes.attempts import statements as saving
from quizzes.attempts.acts import save_answer, start_attempt
from quizzes.models import Answer, Attempt
from quizzes.questions.form_data import lines_of
from shopsafe.logbook.queries import last_moment
from shopsafe.school.models import Person, Session
from shopsafe.school.signing_in.sessions import statements as sessions
from tests.cast import Cast
from tests.counting import queries, scans
from tests.factories.banks import AT, MINUTE, key_for, kinds_text, published, wrong_for

LATER = timedelta(hours=1)


def session_of(person: Person | None) -> Session:
    now = timezone.now()
    return Session.objects.create(
        session_key=uuid4().hex, session_data="{}", person=person, began_at=now, seen_at=now, expire_date=now + LATER
    )


def columns(row: object) -> dict[str, object]:
    return {name: value for name, value in vars(row).items() if not name.startswith("_")}


@pytest.fixture
def attempt(cast: Cast) -> Attempt:
    return start_attempt(student=cast.student, bank=published(cast.teacher, kinds_text()).pk, at=AT)


@pytest.mark.parametrize("who", ["student", "teacher", "stranger_student"])
def test_session_comes_with_person_school_and_last_entry_as_the_orm_reads_them(cast: Cast, who: str) -> None:
    published(cast.teacher)  # an entry in the logbook of one of the two schools
    person = getattr(cast, who)
    person.accommodations = {"language": "es"}
    person.locked_at = AT
    person.save()
    stored = session_of(person)
    with queries() as sent:
        row = sessions.session_by_key(stored.pk, timezone.now())
        assert row
        assert row.person
        school, last = row.person.school, vars(row.person).pop("last_entry_at")
    assert len(sent) == 1
    assert columns(row) == columns(Session.objects.get(pk=stored.pk))
    assert columns(row.person) == columns(Person.objects.get(pk=person.pk))
    assert columns(school) == columns(type(school).objects.get(pk=person.school_id))
    assert last == last_moment(person.school_id)
    assert (last is None) is (who == "stranger_student")


def test_session_without_a_person_ended_or_unknown(cast: Cast) -> None:
    nobody = session_of(None)
    row = sessions.session_by_key(nobody.pk, timezone.now())
    assert row
    assert row.person is None
    assert sessions.session_by_key(nobody.pk, nobody.expire_date) is None
    assert sessions.session_by_key("no such key", timezone.now()) is None


def test_attempt_to_save_is_the_students_own_and_as_the_orm_reads_it(cast: Cast, attempt: Attempt) -> None:
    for person in (cast.student, cast.classmate, cast.stranger_student):
        row = saving.locked_attempt(person, attempt.pk)
        by_orm = attempts_for(person).only(*saving.ATTEMPT.names).filter(pk=attempt.pk).first()
        assert (row and columns(row)) == (by_orm and columns(by_orm))
        assert (row is not None) is (person == cast.student)
    assert saving.locked_attempt(cast.student, uuid4()) is None


def test_answers_are_stored_and_read_as_the_orm_does(attempt: Attempt) -> None:
    for number, line in enumerate(lines_of(attempt.form), 1):
        fields = {"student": attempt.student, "attempt": attempt.pk, "number": number, "at": AT + MINUTE}
        assert saving.kept_answer(attempt, line.code) is None
        for sent, revision in ((key_for(line), None), (wrong_for(line), 1)):
            answer, _ = save_answer(sent=sent, revision=revision, **fields)
            assert answer
            stored = Answer.objects.get(attempt=attempt, question=line.code)
            kept = saving.kept_answer(attempt, line.code)
            assert kept
            assert columns(stored) == columns(kept) == columns(answer)


def test_saving_an_answer_asks_four_statements(client: Client, attempt: Attempt) -> None:
    client.force_login(attempt.student)
    # A number is read in the unit of its edition, which a process loads once.
    number, line = next((n, line) for n, line in enumerate(lines_of(attempt.form), 1) if line.kind != "measure")
    for sent in (key_for(line), wrong_for(line)):
        with queries() as asked:
            response = client.post(f"/attempts/{attempt.pk}/questions/{number}/save/", sent)
        assert response.status_code == 200
        # The session with its person, the attempt, the answer, the write; beside what begins and ends a transaction.
        assert len([sql for sql in asked if not sql.startswith(("SAVEPOINT", "RELEASE", "BEGIN"))]) == 4


def test_no_statement_scans_a_table(attempt: Attempt) -> None:
    key = Attempt._meta.pk.get_db_prep_value(attempt.pk, connection)
    statements = [
        (sessions._by_key(), ["key", AT]),
        (saving._own(), [key, 1, 1]),
        (saving._kept(), [key, "q"]),
    ]
    for statement, values in statements:
        assert scans(statement, values) == []


@pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite locks the whole database")
def test_attempt_is_locked_as_it_is_read(attempt: Attempt) -> None:
    with transaction.atomic(), queries() as sent:
        saving.locked_attempt(attempt.student, attempt.pk)
    assert [sql for sql in sent if sql.endswith("FOR NO KEY UPDATE OF a")]
