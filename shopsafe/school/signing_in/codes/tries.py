"""Counts wrong codes by device and by name, and remembers the devices on which a person has signed in.

Called inside the acts of signing in, which hold the person's row. The rules are in rules/wrong_codes.py.
"""

import hmac
from datetime import datetime
from enum import StrEnum

from django.conf import settings

from shopsafe.school.locks import locked
from shopsafe.school.models import KnownDevice, Person, WrongCodes
from shopsafe.school.signing_in.rules.wrong_codes import (
    DEVICE_LOCK,
    DEVICE_TRIES,
    KNOWN_DEVICES,
    NAME_TRIES,
    SignInState,
    WrongCount,
    counts,
    is_device_locked,
)

MARK = 6  # characters of a device's digest: enough to tell two devices apart in the logbook


class NewLock(StrEnum):
    """What a wrong code has just locked: the name on this device, or for every unknown device."""

    NONE = ""
    DEVICE = "this device"
    NAME = "unknown devices"


def state_of(person: Person | None, sign_in_key: str, device: str) -> SignInState:
    """The same statements are sent whether there is such a person or not."""
    row = wrong_codes_of(sign_in_key, device)
    known = KnownDevice.objects.filter(person=person.pk if person else 0, device=device).exists()
    return SignInState(
        device=WrongCount(row.count, row.last_at) if row else WrongCount(),
        name=WrongCount(person.misses, person.locked_at) if person else WrongCount(),
        is_student=person is None or person.is_student,
        is_known=bool(device) and known,
    )


def wrong_codes_of(sign_in_key: str, device: str) -> WrongCodes | None:
    return locked(WrongCodes.objects.filter(device=device, name_digest=name_digest(sign_in_key))).first()


def name_digest(sign_in_key: str) -> str:
    return hmac.new(settings.SECRET_KEY.encode(), b"sign-in name " + sign_in_key.encode(), "sha256").hexdigest()


def note_wrong_code(
    person: Person | None, sign_in_key: str, device: str, state: SignInState, at: datetime
) -> tuple[int, list[NewLock]]:
    """Count a wrong code. Return how many this device gave for the name, and what is locked from now on."""
    is_counted = counts(state, at)
    count, locks = 0, []
    if device:
        # Whether the name is locked or not, known or not: the device's own count goes up, since it is reported.
        is_open = not is_device_locked(state.device, state.is_student, at)
        count = _note_on_device(person, sign_in_key, device, is_open, at)
        if is_counted and count == DEVICE_TRIES:
            locks.append(NewLock.DEVICE)
    if person and is_counted and not state.is_known:
        person.misses += 1
        person.locked_at = at if person.misses >= NAME_TRIES else None
        person.save(update_fields=["misses", "locked_at"])
        if person.misses == NAME_TRIES:
            locks.append(NewLock.NAME)
    return count, locks


def _note_on_device(person: Person | None, sign_in_key: str, device: str, is_open: bool, at: datetime) -> int:
    """A try on a locked device leaves the moment as it is: trying on makes no one wait longer."""
    row, is_new = locked(WrongCodes.objects.all()).get_or_create(
        device=device,
        name_digest=name_digest(sign_in_key),
        defaults={"person": person, "count": 1, "last_at": at},
    )
    if is_new:
        return 1
    if row.last_at + DEVICE_LOCK <= at:  # of another day
        row.count, row.locked_at = 0, None
    if is_open:
        row.count, row.last_at = row.count + 1, at
    if row.count >= DEVICE_TRIES and row.locked_at is None:
        row.locked_at = at
    row.person = person
    row.save(update_fields=["count", "last_at", "locked_at", "person"])
    return row.count


def note_right_code(person: Person, sign_in_key: str, device: str, state: SignInState, at: datetime) -> None:
    """The device is known from now on, and its wrong codes are forgotten.

    A name that is locked for unknown devices stays so when a known one opens it: the guesser may continue.
    """
    if device:
        WrongCodes.objects.filter(device=device, name_digest=name_digest(sign_in_key)).delete()
        KnownDevice.objects.update_or_create(person=person, device=device, defaults={"last_at": at})
        _forget_oldest_devices(person)
    if not state.is_known or person.locked_at is None:
        person.misses, person.locked_at = 0, None
    person.last_login = at
    person.save(update_fields=["misses", "locked_at", "last_login"])


def _forget_oldest_devices(person: Person) -> None:
    latest = KnownDevice.objects.filter(person=person).order_by("-last_at", "-pk")
    if forgotten := list(latest.values_list("pk", flat=True)[KNOWN_DEVICES:]):
        KnownDevice.objects.filter(pk__in=forgotten).delete()


def forget_wrong_codes(person: Person) -> None:
    """Unlock a name, on every device. The caller holds the row."""
    WrongCodes.objects.filter(person=person).delete()
    person.misses, person.locked_at = 0, None
    person.save(update_fields=["misses", "locked_at"])


def clear_old_wrong_codes(at: datetime, most: int = 50) -> None:
    """Delete up to `most` counts that no longer lock anything, the oldest first."""
    old = WrongCodes.objects.filter(last_at__lte=at - DEVICE_LOCK).order_by("last_at")
    if keys := list(old.values_list("pk", flat=True)[:most]):
        WrongCodes.objects.filter(pk__in=keys).delete()


def mark_of(device: str) -> str:
    """How the logbook and pages name a device: 3F9A2C."""
    return device[:MARK].upper()
