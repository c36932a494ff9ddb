"""Whether a code is tried at all: how wrong codes slow down a device, and then a name. Plain rules, no database.

A student who guesses at a classmate's code must not lock the classmate out. So wrong codes count first for the device
that gave them: five for one name, and that device can't try the name any more. Only wrong codes from several devices,
on none of which the person has signed in before, lock the name for every such device. On a device where the person has
signed in before, the right code still opens.

The numbers are our own choice. A code is one of 78 billion (rules/slips.py), so what they must keep small is not
the chance to guess a code but the harm done by trying.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

DEVICE_TRIES = 5  # wrong codes for one name on one device
NAME_TRIES = 10  # wrong codes for one name on devices where the person has not signed in before
KNOWN_DEVICES = 12  # remembered for one person: the latest
DEVICE_LOCK = timedelta(days=1)
# Staff are never locked out for good: any student could do that to a teacher. Each wrong password doubles the wait.
LONGEST_WAIT = timedelta(minutes=15)

MANY = 3  # names locked from one device are reported together
TOGETHER = timedelta(minutes=10)


@dataclass(frozen=True)
class WrongCount:
    """Wrong codes so far, and the moment of the last."""

    count: int = 0
    last_at: datetime | None = None


@dataclass(frozen=True)
class SignInState:
    """What is known when someone tries a code for a name.

    device     wrong codes for this name on this device
    name       wrong codes for this name on devices where the person has not signed in before
    is_known   the person has signed in on this device before
    """

    device: WrongCount
    name: WrongCount
    is_student: bool
    is_known: bool


def counts(state: SignInState, at: datetime) -> bool:
    """Return True if the code decides: a right one opens, a wrong one is counted against the name."""
    device_open = not is_device_locked(state.device, state.is_student, at)
    return device_open and (state.is_known or not is_name_locked(state.name, state.is_student, at))


def is_device_locked(device: WrongCount, is_student: bool, at: datetime) -> bool:
    return _is_locked(device, DEVICE_TRIES, DEVICE_LOCK if is_student else None, at)


def is_name_locked(name: WrongCount, is_student: bool, at: datetime) -> bool:
    """Return True if only devices where the person has signed in before open the name. A student's stays so until a
    teacher unlocks it."""
    return _is_locked(name, NAME_TRIES, timedelta.max if is_student else None, at)


def _is_locked(wrong: WrongCount, tries: int, lasts: timedelta | None, at: datetime) -> bool:
    if wrong.count < tries or wrong.last_at is None:
        return False
    wait = lasts if lasts is not None else wait_after(wrong.count - tries)
    return wait == timedelta.max or at < wrong.last_at + wait


def wait_after(doublings: int) -> timedelta:
    """The time that staff wait after the first locking wrong password and so many more: 1, 2, 4, 8, 15 minutes."""
    return min(timedelta(minutes=2 ** min(doublings, 10)), LONGEST_WAIT)


@dataclass(frozen=True)
class NameLock:
    """A name that was locked on one device, or for every unknown one (`device` is empty)."""

    person: int
    device: str
    at: datetime


@dataclass(frozen=True)
class LockWave:
    """Names that were locked one soon after another. `device` is empty if they were locked from several."""

    people: tuple[int, ...]
    device: str
    first_at: datetime
    last_at: datetime


def lock_waves(locks: Sequence[NameLock]) -> list[LockWave]:
    """Return what looks like one hand at work, the largest first: many names from one device, or many in a short time.

    A person is in one wave at most.
    """
    waves: list[LockWave] = []
    grouped_people: set[int] = set()
    devices = sorted({lock.device for lock in locks if lock.device})
    for device in [*devices, ""]:
        rest = sorted((lock for lock in locks if lock.person not in grouped_people), key=lambda lock: lock.at)
        for wave in _close_together([lock for lock in rest if not device or lock.device == device], device):
            if len(wave.people) >= MANY:
                waves.append(wave)
                grouped_people |= set(wave.people)
    return sorted(waves, key=lambda wave: (-len(wave.people), wave.first_at))


def _close_together(locks: Sequence[NameLock], device: str) -> list[LockWave]:
    """Waves of locks of which each came soon after the one before."""
    waves: list[list[NameLock]] = []
    for lock in locks:
        if waves and lock.at - waves[-1][-1].at <= TOGETHER:
            waves[-1].append(lock)
        else:
            waves.append([lock])
    return [
        LockWave(tuple(dict.fromkeys(lock.person for lock in wave)), device, wave[0].at, wave[-1].at) for wave in waves
    ]
