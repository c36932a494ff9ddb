"""How long demonstrations take: set by a teacher of the school, kept by machine type."""

from datetime import UTC, datetime

import pytest
from django.core.exceptions import ValidationError

from machines.models import DemonstrationTime
from machines.planning.acts import set_demonstration_times
from tests.acts.reading import code_of, entries
from tests.cast import Cast
from tests.factories.machines import KindFactory

AT = datetime(2026, 10, 12, 15, 0, tzinfo=UTC)
TIMES = {"minutes": 6, "minutes_each": 3, "group_size": 4}


def test_the_times_hold_for_the_machine_type(cast: Cast) -> None:
    kind = KindFactory(school=cast.school)
    for _ in range(2):  # the same again is nothing new
        set_demonstration_times(times=[(kind, TIMES)], by=cast.teacher, at=AT)
    stored = DemonstrationTime.objects.get(kind=kind)
    assert (stored.minutes, stored.minutes_each, stored.group_size) == (6, 3, 4)
    assert len(entries("demonstration_time.set")) == 1


def test_a_demonstration_takes_time_and_a_group_can_be_watched(cast: Cast) -> None:
    kind = KindFactory(school=cast.school)
    for wrong in ({"minutes": 0, "minutes_each": 0}, {"group_size": 7}):
        with pytest.raises(ValidationError):
            set_demonstration_times(times=[(kind, TIMES | wrong)], by=cast.teacher, at=AT)
    assert not entries("demonstration_time.set")


def test_refuses_students_and_substitutes(cast: Cast) -> None:
    kind = KindFactory(school=cast.school)
    for person in (cast.student, cast.substitute):
        assert code_of(set_demonstration_times, times=[(kind, TIMES)], by=person, at=AT) == "access.not-yours"
