"""When the classes of the demo meet."""

import pytest

from machines.demo.timetable import meeting_hours


@pytest.mark.parametrize(
    ("hour", "spans"),
    [
        (10, [(10, 13), (9, 10), (13, 14), (8, 9)]),
        (0, [(0, 3), (3, 4), (4, 5), (5, 6)]),
        (22, [(22, 24), (21, 22), None, (20, 21)]),
    ],
)
def test_first_class_meets_in_the_hour_of_loading(hour: int, spans: list[tuple[int, int] | None]) -> None:
    assert meeting_hours(hour, 4) == spans
