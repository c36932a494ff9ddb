"""The demo's past: its mornings, and many stories lived side by side in the order of their moments."""

import heapq
from collections.abc import Iterable, Iterator
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from shopsafe.school.calendar import local_day

# A story gives the moment of its next act, and does the act when it is asked for the moment after.
type Lived = Iterator[datetime]


def school_morning(at: datetime, days_ago: int, zone: str) -> datetime:
    """Nine in the morning at the school, that many days ago; from a weekend it moves to the Friday before."""
    day = local_day(at, zone) - timedelta(days=days_ago)
    day -= timedelta(days=max(0, day.weekday() - 4))
    return datetime.combine(day, time(9, 0), ZoneInfo(zone))


def act_out(stories: Iterable[Lived]) -> None:
    """Every act of every story, the earliest first: the logbook of the demo reads like a real one."""
    waiting = [(at, number, story) for number, story in enumerate(stories) if (at := next(story, None))]
    heapq.heapify(waiting)
    while waiting:
        _, number, story = waiting[0]
        later = next(story, None)
        if later is None:
            heapq.heappop(waiting)
        else:
            heapq.heapreplace(waiting, (later, number, story))
