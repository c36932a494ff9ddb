"""How an act runs: in one durable transaction, with its locks in one order, and again where the database asks for it.

An act is one function that changes the database. It reads, from top to bottom:

    @act
    def tag_out(*, machine: Machine, reason: str, by: Person, tap: Tap, at: datetime | None = None) -> TagOut:
        allow(by, "tag out a machine", shop=machine.shop)       1  ask access
        lock(machine)                                           2  lock            shopsafe/school/locks.py
        at = act_moment(machine.school_id, at)                  3  take the moment shopsafe/school/clock.py
        ...                                                     4  load, 5 ask the rule, 6 write
        append(kind="machine.tagged_out", ...)                  7  the logbook

Each step relies on the one before: a moment taken before the lock would judge by what stood before someone else's act.

The order of locks, the same for every act (`Turn`): the school, its people, its machines, any other row, and last the
end of the logbook, which `append` holds until the transaction ends. Two acts that lock in one order never wait for each
other in a circle. Rows are locked by their key, the smallest first, and without their key (`no_key`): another act's
foreign key may point at a locked row. Only the erasure of a person removes rows that others point at.

On PostgreSQL an act may still be the loser of a deadlock or of a serialization failure, say against a VACUUM or a
backup. Nothing of it was stored then, and it runs again. SQLite lets one transaction write at a time: an act waits at
its start, up to `timeout`, so there is nothing to gain from a second wait, and it does not run again.
"""

from collections.abc import Callable
from contextvars import ContextVar
from datetime import datetime
from enum import IntEnum
from functools import wraps

from django.db import OperationalError, connection, transaction
from django.utils import timezone

RUNS = 4  # once, and again up to three times
DEADLOCK, SERIALIZATION_FAILURE = "40P01", "40001"  # SQLSTATE, PostgreSQL manual, appendix A


def server_time() -> datetime:
    """What the server's clock says, whether it is right or not. The moment of an act is in shopsafe/school/clock.py."""
    return timezone.now()


class Turn(IntEnum):
    """What an act locks, in the order in which it does."""

    NOTHING = 0
    SCHOOL = 1
    PERSON = 2
    MACHINE = 3
    ROW = 4
    LOGBOOK = 5


class OutOfTurn(RuntimeError):
    """An act is written in the wrong order: a lock after a later one, a moment without a lock, an act in an act."""


# The last lock that the act under way took; None outside of an act.
_turn: ContextVar[Turn | None] = ContextVar("turn", default=None)


def act[**P, R](function: Callable[P, R]) -> Callable[P, R]:
    """Run the function in one durable transaction; again, up to three times, if PostgreSQL gave it up for another."""

    @wraps(function)
    def run(*args: P.args, **kwargs: P.kwargs) -> R:
        for _ in range(RUNS - 1):
            try:
                return _once(function, *args, **kwargs)
            except OperationalError as error:
                if not _was_given_up(error):
                    raise
        return _once(function, *args, **kwargs)

    return run


def _once[**P, R](function: Callable[P, R], *args: P.args, **kwargs: P.kwargs) -> R:
    if _turn.get() is not None:
        raise OutOfTurn(f"{function.__qualname__} is called inside another act.")
    before = _turn.set(Turn.NOTHING)
    try:
        with transaction.atomic(durable=True):
            return function(*args, **kwargs)
    finally:
        _turn.reset(before)


def _was_given_up(error: OperationalError) -> bool:
    """Return True if PostgreSQL undid the whole transaction so that another could go on. In a test's own transaction
    there is no beginning to go back to."""
    return (
        getattr(error.__cause__, "sqlstate", "") in (DEADLOCK, SERIALIZATION_FAILURE) and not connection.in_atomic_block
    )


def take_turn(turn: Turn) -> None:
    """Note a lock that is about to be taken. Raise OutOfTurn after a later one; outside of an act nothing is noted.

    The people, and the machines, are locked in one statement each: in two, a second act could take them the other way.
    """
    last = _turn.get()
    if last is None:
        return
    if turn < last or turn == last < Turn.ROW:
        raise OutOfTurn(f"An act locks the {turn.name.lower()} after the {last.name.lower()}.")
    _turn.set(turn)


def must_hold_a_lock() -> None:
    """Raise OutOfTurn in an act that has locked nothing yet."""
    if _turn.get() is Turn.NOTHING:
        raise OutOfTurn("An act takes its moment after its lock.")
