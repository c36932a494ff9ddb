"""The statement that every request of a signed-in person sends, in SQL: person, school, last entry."""

from datetime import datetime
from functools import cache

from django.db import connection

from shopsafe.database.plain_rows import Columns, moment
from shopsafe.school.models import Person, School, Session

SESSION, PERSON, SCHOOL = Columns(Session, "s"), Columns(Person, "p"), Columns(School, "c")
# The moment of the school's last entry comes along: every page is of no earlier one.
BY_KEY = """
    SELECT {session}, {person}, {school},
        (SELECT l.at FROM logbook_listing l WHERE l.school = p.school_id ORDER BY l.seq DESC LIMIT 1)
    FROM school_session s
    LEFT JOIN school_person p ON p.id = s.person_id LEFT JOIN school_school c ON c.id = p.school_id
    WHERE s.session_key = %s AND s.expire_date > %s
"""


def session_by_key(key: str, at: datetime) -> Session | None:
    """The session that has not ended at this moment, with its person, the person's school, and `last_entry_at` of the
    person; None where there is no such session."""
    with connection.cursor() as cursor:
        cursor.execute(_by_key(), [key, connection.ops.adapt_datetimefield_value(at)])
        row = cursor.fetchone()
    if row is None:
        return None
    people, schools = len(SESSION.names), len(SESSION.names) + len(PERSON.names)
    session = SESSION.instance(row[:people])
    if session.person_id is not None:
        session.person = PERSON.instance(row[people:schools])
        session.person.school = SCHOOL.instance(row[schools:-1])
        vars(session.person)["last_entry_at"] = moment(row[-1]) if row[-1] else None
    return session


@cache
def _by_key() -> str:
    return BY_KEY.format(session=SESSION.sql, person=PERSON.sql, school=SCHOOL.sql)
