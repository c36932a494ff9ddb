"""Which names are locked after wrong codes, and since when. Nothing here writes."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from shopsafe.school.models import Person, WrongCodes
from shopsafe.school.signing_in.rules.wrong_codes import DEVICE_LOCK, LockWave, NameLock, lock_waves


@dataclass(frozen=True)
class LockedName:
    """A student who can't sign in: on the devices that gave wrong codes, or `everywhere` but on known ones."""

    student: Person
    since: datetime
    everywhere: bool


def name_locks(students: Iterable[Person], at: datetime) -> list[NameLock]:
    """Every lock of these students' names at this moment, the first ones first. One query."""
    students = list(students)
    rows = WrongCodes.objects.filter(
        person__in=[student.pk for student in students], locked_at__isnull=False, last_at__gt=at - DEVICE_LOCK
    )
    values = rows.values_list("person", "device", "locked_at")
    locks = [NameLock(pk, device, since) for pk, device, since in values if pk and since]
    locks += [NameLock(student.pk, "", student.locked_at) for student in students if student.locked_at]
    return sorted(locks, key=lambda lock: (lock.at, lock.person, lock.device))


def locked_names(students: Iterable[Person], locks: Iterable[NameLock]) -> list[LockedName]:
    """The students whom these locks are about, each once, in the order given."""
    of: dict[int, list[NameLock]] = {}
    for lock in locks:
        of.setdefault(lock.person, []).append(lock)
    return [
        LockedName(
            student,
            since=min(lock.at for lock in of[student.pk]),
            everywhere=any(not lock.device for lock in of[student.pk]),
        )
        for student in students
        if student.pk in of
    ]


@dataclass(frozen=True)
class Wave:
    """What a page says of a wave: "8 names were locked within 2 minutes, from one device"."""

    names: int
    minutes: int
    device: str
    since: datetime

    @classmethod
    def of(cls, wave: LockWave) -> "Wave":
        seconds = (wave.last_at - wave.first_at).total_seconds()
        return cls(len(wave.people), max(1, -int(-seconds // 60)), wave.device, wave.first_at)


def waves_of(locks: Iterable[NameLock]) -> list[Wave]:
    return [Wave.of(wave) for wave in lock_waves(list(locks))]
