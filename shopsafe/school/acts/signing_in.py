"""Signing in with a name and a slip code (students) or a password (everyone else), and being let in again."""

from datetime import datetime, timedelta

from django.db import transaction

from shopsafe.school import names
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused

MISSES_ALLOWED = 5
# A grown-up is never locked out for good: any student could do that to a teacher. Each further miss doubles the wait.
LONGEST_WAIT = timedelta(minutes=15)

WRONG = "That name and code don't belong together. Look at your slip and try again."
LAST_BUT_ONE = "One more wrong code can lock this name. Then only your teacher can let you in."
LOCKED = "Five wrong codes: this name is locked. Ask your teacher to let you in."


def sign_in(*, name: str, code: str, at: datetime) -> Person:
    """The person whose name and code these are. Refused: sign-in.wrong, sign-in.locked, sign-in.wait.

    A miss is counted before it is refused, so it must be written even though the caller gets an exception:
    the counting is a transaction of its own.
    """
    outcome = _try(name=name, code=code, at=at)
    if isinstance(outcome, Refused):
        raise outcome
    return outcome


@transaction.atomic(durable=True)
def _try(*, name: str, code: str, at: datetime) -> Person | Refused:
    key = names.sign_in_key(name)
    person = Person.objects.select_for_update().filter(sign_in_key=key, is_active=True).first()
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
    person.misses += 1
    if person.misses >= MISSES_ALLOWED:
        person.locked_at = at
    person.save(update_fields=["misses", "locked_at"])
    return _shut(person, at) or Refused("sign-in.wrong", WRONG, 422)


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
