"""Signing in with a name and a slip code (students) or a password (everyone else), and changing one's own password."""

from datetime import datetime, timedelta

from django.contrib.auth.hashers import make_password

from shopsafe.act import act, server_time
from shopsafe.logbook.append import append
from shopsafe.school.access import allow
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock, locked
from shopsafe.school.models import Person
from shopsafe.school.naming.rules import names
from shopsafe.school.refusals import Refused
from shopsafe.school.signing_in.passwords import must_be_strong
from shopsafe.school.signing_in.sessions import end_sessions

MISSES_ALLOWED = 5
# A grown-up is never locked out for good: any student could do that to a teacher. Each further miss doubles the wait.
LONGEST_WAIT = timedelta(minutes=15)

WRONG = "That name and code don't belong together. Look at your slip, or at your password, and try again."
LAST_BUT_ONE = "One more wrong code can lock this name. Then only your teacher can let you in."
LOCKED = "Five wrong codes: this name is locked. Ask your teacher to let you in."


def sign_in(*, name: str, code: str, at: datetime | None = None) -> Person:
    """The person whose name and code these are. Refused: sign-in.wrong, sign-in.locked, sign-in.wait.

    A miss is counted before it is refused, so it must be written even though the caller gets an exception:
    the counting is a transaction of its own.
    """
    outcome = _try(name=name, code=code, at=at)
    if isinstance(outcome, Refused):
        raise outcome
    return outcome


@act
def _try(*, name: str, code: str, at: datetime | None) -> Person | Refused:
    key = names.sign_in_key(name)
    person = locked(Person.objects.filter(sign_in_key=key, is_active=True)).first()
    at = at or server_time()  # waits are counted by the clock alone: they are no record
    if person is None:
        # The same work as for a name that exists: the time taken must not tell which names do.
        Person().set_password(code)
        return Refused("sign-in.wrong", WRONG, 422)
    shut = _shut(person, at)
    if shut:
        return shut
    if person.check_password(slip_code(code) if person.is_student else code):
        person.misses, person.locked_at, person.last_login = 0, None, at
        person.save(update_fields=["misses", "locked_at", "last_login"])
        return person
    return _missed(person, at) or Refused("sign-in.wrong", WRONG, 422)


def change_password(*, person: Person, current: str, password: str, at: datetime | None = None) -> Person:
    """A grown-up's own password: the old one ends, and open sessions with it. Wrong tries count as those to sign in.

    Refused: access.not-yours, password.weak (422), password.wrong (422), sign-in.wait.
    """
    allow(person, "change the own password")
    must_be_strong(password, "password.weak")
    # Hashing is slow on purpose: done before the transaction, so that nobody waits for the database meanwhile.
    outcome = _change(person, current, make_password(password), at)
    if isinstance(outcome, Refused):
        raise outcome
    return outcome


@act
def _change(person: Person, current: str, hashed: str, at: datetime | None) -> Person | Refused:
    found = Person.objects.get(pk=person.pk)
    lock(found)
    entry_at, now = act_moment(found.school_id, at), at or server_time()
    allow(found, "change the own password")
    shut = _shut(found, now)
    if shut:
        return shut
    if not found.check_password(current):
        return _missed(found, now) or Refused("password.wrong", "That is not your password now. Try again.", 422)
    found.password, found.misses, found.locked_at = hashed, 0, None
    found.save(update_fields=["password", "misses", "locked_at"])
    end_sessions(found)
    payload = {"by": found.as_record(), "person": found.as_record(), "role": found.role}
    append(kind="staff.password_set", school=found.school_id, at=entry_at, payload=payload)
    return found


def _missed(person: Person, at: datetime) -> Refused | None:
    """Counts a miss; why this person can't try again now, if so."""
    person.misses += 1
    if person.misses >= MISSES_ALLOWED:
        person.locked_at = at
    person.save(update_fields=["misses", "locked_at"])
    return _shut(person, at)


def _shut(person: Person, at: datetime) -> Refused | None:
    """Why this person can't try a code now, if so."""
    if person.locked_at is None:
        return None
    if person.is_student:
        return Refused("sign-in.locked", LOCKED)
    wait = min(timedelta(minutes=2 ** (person.misses - MISSES_ALLOWED)), LONGEST_WAIT)
    if at >= person.locked_at + wait:
        return None
    minutes = int(wait.total_seconds() // 60)
    some = "a minute" if minutes == 1 else f"{minutes} minutes"
    return Refused("sign-in.wait", f"Too many wrong passwords. Wait {some}, then try again.")


def slip_code(typed: str) -> str:
    """A slip code as it is compared: capitals, without the dash or spaces it is printed with."""
    return "".join(c for c in typed.upper() if c.isalnum())
