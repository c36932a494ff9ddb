"""Here today: the class list of a day, saved by a teacher or a substitute; a list saved by someone else is kept."""

import json
from datetime import UTC, datetime, timedelta

from shopsafe.school.here_today.acts import save_here_today
from shopsafe.school.here_today.queries import day_list
from shopsafe.school.models import AwayStudent
from tests.acts.reading import code_of, entries
from tests.cast import Cast

AT = datetime(2026, 10, 12, 15, 0, tzinfo=UTC)


def test_everyone_is_here_until_someone_saves(cast: Cast) -> None:
    current = day_list(cast.section, AT)
    assert (current.saved, current.away, current.version) == (None, frozenset(), "")
    assert current.here == current.students != []


def test_the_student_is_away_and_the_logbook_says_so(cast: Cast) -> None:
    save_here_today(section=cast.section, away=[cast.student.pk], version="", by=cast.teacher, at=AT)
    current = day_list(cast.section, AT)
    assert current.away == {cast.student.pk}
    assert cast.student not in current.here
    (payload,) = map(json.loads, entries("class.here_today"))
    assert (payload["day"], payload["away"]) == ("2026-10-12", 1)


def test_tomorrow_everyone_is_here_again(cast: Cast) -> None:
    save_here_today(section=cast.section, away=[cast.student.pk], version="", by=cast.teacher, at=AT)
    assert day_list(cast.section, AT + timedelta(days=1)).away == frozenset()


def test_list_saved_by_a_colleague_is_kept(cast: Cast) -> None:
    saved = save_here_today(section=cast.section, away=[cast.student.pk], version="", by=cast.teacher, at=AT)
    again = {"section": cast.section, "version": "", "by": cast.colleague, "at": AT}
    assert code_of(save_here_today, away=[], **again) == "here-today.changed"
    assert save_here_today(away=[cast.student.pk], **again) == saved  # the same list: nothing to refuse
    assert AwayStudent.objects.count() == len(entries("class.here_today")) == 1
    later = AT + timedelta(minutes=1)
    save_here_today(section=cast.section, away=[], version=saved.at.isoformat(), by=cast.teacher, at=later)
    assert not AwayStudent.objects.exists()


def test_a_student_of_another_class_is_refused(cast: Cast) -> None:
    sent = {"section": cast.section, "version": "", "by": cast.teacher, "at": AT}
    assert code_of(save_here_today, away=[cast.stranger_student.pk], **sent) == "here-today.unknown"


def test_refuses_students_the_office_and_other_teachers(cast: Cast) -> None:
    for person in (cast.student, cast.office, cast.other_teacher, cast.stranger_teacher):
        sent = {"section": cast.section, "away": [], "version": "", "by": person, "at": AT}
        assert code_of(save_here_today, **sent) == "access.not-yours"
    assert not entries("class.here_today")
