"""Signing in with a name and a sign-in code (students) or a password (staff), and changing one's own password."""

from collections.abc import Sequence
from datetime import datetime
from functools import cache

from django.contrib.auth.hashers import check_password, make_password

from shopsafe.act import act, server_time
from shopsafe.language.messages import _, marked
from shopsafe.logbook.append import append
from shopsafe.school.access import allow
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import locked
from shopsafe.school.models import Person
from shopsafe.school.naming.rules import names
from shopsafe.school.refusals import Refused
from shopsafe.school.signing_in.codes.tries import (
    NewLock,
    forget_wrong_codes,
    mark_of,
    note_right_code,
    note_wrong_code,
    state_of,
)
from shopsafe.school.signing_in.passwords import must_be_strong
from shopsafe.school.signing_in.rules.wrong_codes import DEVICE_TRIES, counts
from shopsafe.school.signing_in.sessions.lifetime import end_sessions

# One sentence for an unknown name, a locked name and a wrong code. Which of the three that follow is said depends on
# how often this device tried the name that was typed, and on nothing else.
WRONG = marked("The name and code do not match, or this name is locked. Check both and try again.")
ASK = marked("If both are right, ask your teacher.")
LAST_BUT_ONE = marked("After one more wrong code, this device can’t try this name.")
DEVICE_LOCKED = marked(
    "Five wrong codes for this name on this device. Students: ask your teacher to unlock your name. "
    "Staff: wait 15 minutes, then try again."
)


def sign_in(*, name: str, code: str, device: str = "", at: datetime | None = None) -> Person:
    """The person whose name and code these are. `device` is the digest of its number (devices.py).

    Refused: sign-in.wrong (422), sign-in.device-locked (409).

    A wrong code is counted before it is refused, so it must be written even though the caller gets an exception.
    """
    key = names.sign_in_key(name)
    person = Person.objects.filter(sign_in_key=key, is_active=True).first()
    # Hashing is slow on purpose: done once for every try, whatever the name, so that the time taken tells nothing;
    # and before the transaction, so that no one waits for the database in the meantime.
    is_right = check_password(_as_compared(code, person), person.password if person else nobodys_hash())
    outcome = _count(person, key, device, is_right and person is not None, at)
    if isinstance(outcome, Refused):
        raise outcome
    return outcome


@cache
def nobodys_hash() -> str:
    """A hash as any other, of a code that no one has."""
    return make_password("no one's code")


def _as_compared(code: str, person: Person | None) -> str:
    return slip_code(code) if person is None or person.is_student else code


@act
def _count(asked: Person | None, key: str, device: str, is_right: bool, at: datetime | None) -> Person | Refused:
    person = _as_it_was(asked)
    state, now = state_of(person, key, device), at or server_time()  # waits are counted by the clock alone
    if person and is_right and counts(state, now):
        note_right_code(person, key, device, state, now)
        return person
    tries, locks = note_wrong_code(person, key, device, state, now)
    _record_locks(locks, person, device, at)
    if tries >= DEVICE_TRIES:
        return Refused("sign-in.device-locked", _(DEVICE_LOCKED))
    advice = _(LAST_BUT_ONE) if tries == DEVICE_TRIES - 1 else _(ASK)
    return Refused("sign-in.wrong", f"{_(WRONG)} {advice}", 422)


def _as_it_was(asked: Person | None) -> Person | None:
    """The person, locked. None if the code was changed, or the access ended, while the code was hashed."""
    rows = Person.objects.filter(pk=asked.pk if asked else 0, is_active=True)
    return locked(rows.filter(password=asked.password if asked else "")).first()


def _record_locks(locks: Sequence[NewLock], person: Person | None, device: str, at: datetime | None) -> None:
    if person is None:
        return
    who = {"student": person.as_record()} if person.is_student else {"person": person.as_record(), "role": person.role}
    for lock in locks:
        append(
            kind="student.locked" if person.is_student else "staff.locked",
            school=person.school_id,
            at=act_moment(person.school_id, at),
            payload=who | {"locked_on": lock.value, "device": mark_of(device)},
        )


def change_password(
    *, person: Person, current: str, password: str, device: str = "", at: datetime | None = None
) -> Person:
    """A staff member's own password: the old one ends, and open sessions with it. Wrong tries count as at sign-in.

    Refused: access.not-yours, password.weak (422), password.wrong (422), sign-in.device-locked (409).
    """
    allow(person, "change the own password")
    must_be_strong(password, "password.weak")
    is_right = check_password(current, person.password)
    outcome = _change(person, is_right, make_password(password), device, at)
    if isinstance(outcome, Refused):
        raise outcome
    return outcome


@act
def _change(asked: Person, is_right: bool, hashed: str, device: str, at: datetime | None) -> Person | Refused:
    person = _as_it_was(asked)
    state, now = state_of(person, asked.sign_in_key, device), at or server_time()
    if person is None or not is_right or not counts(state, now):
        tries, locks = note_wrong_code(person, asked.sign_in_key, device, state, now)
        _record_locks(locks, person, device, at)
        if not counts(state, now) or tries >= DEVICE_TRIES:
            return Refused("sign-in.device-locked", _(DEVICE_LOCKED))
        return Refused("password.wrong", _("That is not your current password. Try again."), 422)
    allow(person, "change the own password")
    person.password = hashed
    person.save(update_fields=["password"])
    forget_wrong_codes(person)
    end_sessions(person)
    payload = {"by": person.as_record(), "person": person.as_record(), "role": person.role}
    moment = act_moment(person.school_id, at)
    append(kind="staff.password_set", school=person.school_id, at=moment, payload=payload)
    return person


def slip_code(typed: str) -> str:
    """A sign-in code as it is compared: capitals, without the dash or spaces it is printed with."""
    return "".join(c for c in typed.upper() if c.isalnum())
