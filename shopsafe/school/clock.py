"""The moment of an act and of a page: the server's clock, but never before the last entry of the school's logbook.

A clock that is set back by an hour must not put a hold of that hour into the future, where it would stop no one. Until
the clock has caught up, acts follow each other at the moment of the last entry, and pages show that moment.
"""

from datetime import datetime, timedelta
from typing import Any

from django.http import HttpRequest

from shopsafe.act import must_hold_a_lock, server_time
from shopsafe.logbook.queries import last_moment

STEP = timedelta(microseconds=1)
# Two servers of one school never agree to the last moment; staff can do nothing about seconds.
SLACK = timedelta(seconds=5)
KEPT = "moment_of_page"


def act_moment(school: int, at: datetime | None) -> datetime:
    """The moment of an act that holds its lock: later than every act before it. `at` where a test, the demo school or a
    command hands one in."""
    must_hold_a_lock()
    if at is not None:
        return at
    last = last_moment(school)
    return _not_before(last + STEP if last else None)


def act_clock(at: datetime | None) -> datetime:
    """What the clock shows in an act that holds its lock, whether it is right or not. Presence in a shop is judged by
    it: by the moments of acts no time would pass while a clock that was set back catches up."""
    must_hold_a_lock()
    return at or server_time()


def moment_after(before: datetime, at: datetime | None) -> datetime:
    """The moment of an act that writes nothing in the logbook, such as the saving of an answer: not before the start
    that it follows. It costs no query."""
    must_hold_a_lock()
    return at or max(server_time(), before)


def school_moment(school: int) -> datetime:
    """The moment at which a page reads the records of a school."""
    return _not_before(last_moment(school))


def page_moment(request: HttpRequest) -> datetime:
    """The same for a page, once a request: everything on a page is of one moment. The last entry's came with the
    session (signing_in/sessions/store.py)."""
    if KEPT not in vars(request):
        vars(request)[KEPT] = _not_before(last_entry_of(request.user))
    moment: datetime = vars(request)[KEPT]
    return moment


def last_entry_of(user: Any) -> datetime | None:
    """The moment of the last entry of the asker's school; None where there is none, or no one is signed in."""
    if not user.is_authenticated:
        return None
    return user.last_entry_at if hasattr(user, "last_entry_at") else last_moment(user.school_id)


def _not_before(last: datetime | None) -> datetime:
    return max(server_time(), last) if last else server_time()


def is_behind(moment: datetime) -> bool:
    """Return True if the server's clock has not come as far as the school's records."""
    return server_time() < moment - SLACK
