"""The office gives a staff member of the school a new password, ends their access, and restores it.

What someone has recorded stays as it is, whatever their role is now: only signing in ends.
"""

from datetime import datetime
from typing import Final

from django.contrib.auth.hashers import make_password

from shopsafe.act import act
from shopsafe.language.messages import _
from shopsafe.logbook.append import append
from shopsafe.school.access import OFFICE, allow, one_of, staff_ever_for
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock_school, locked
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused
from shopsafe.school.signing_in.codes.tries import forget_wrong_codes
from shopsafe.school.signing_in.passwords import must_be_strong
from shopsafe.school.signing_in.sessions.lifetime import end_sessions

DEED: Final = "set up the school"


def set_password(*, person: Person, password: str, by: Person, at: datetime | None = None) -> Person:
    """A new password, kept as a hash alone. The old one ends, and open sessions, and a wait after wrong passwords.

    Refused: access.not-yours, set-up.weak-password (422), staff.ended. Of another school: 404.
    """
    allow(by, DEED)
    must_be_strong(password, "set-up.weak-password")
    # Hashing is slow on purpose: done before the transaction, so that no one waits for the database in the meantime.
    return _store_password(person, make_password(password), by, at)


@act
def _store_password(person: Person, hashed: str, by: Person, at: datetime | None) -> Person:
    allow(by, DEED)
    locked_person = _locked(person, by)
    at = act_moment(by.school_id, at)
    if not locked_person.is_active:
        raise Refused(
            "staff.ended",
            _("The access of {locked_person} has ended. Restore their access first.", locked_person=locked_person.name),
        )
    locked_person.password = hashed
    locked_person.save(update_fields=["password"])
    forget_wrong_codes(locked_person)
    end_sessions(locked_person)
    _record("staff.password_set", locked_person, by, at)
    return locked_person


@act
def end_access(*, person: Person, by: Person, at: datetime | None = None) -> Person:
    """This person signs in no more, and an open session ends at once.

    Refused: access.not-yours, staff.own-access, staff.last-office, staff.ended. Of another school: 404.
    """
    allow(by, DEED)
    # Two of the office who end each other come one after the other, and the second finds no one else left.
    locked_person = _locked(person, by)
    at = act_moment(by.school_id, at)
    if locked_person.pk == by.pk:
        raise Refused("staff.own-access", _("No one ends their own access. Ask someone else of the office."))
    if not locked_person.is_active:
        raise Refused(
            "staff.ended", _("The access of {locked_person} has ended already.", locked_person=locked_person.name)
        )
    others = Person.objects.filter(school=by.school_id, role=OFFICE, is_active=True).exclude(pk=locked_person.pk)
    if locked_person.is_office and not others.exists():
        raise Refused("staff.last-office", _("A school can't be without an office. Add someone to the office first."))
    locked_person.is_active = False
    locked_person.save(update_fields=["is_active"])
    end_sessions(locked_person)
    _record("staff.access_ended", locked_person, by, at)
    return locked_person


@act
def let_in_again(*, person: Person, by: Person, at: datetime | None = None) -> Person:
    """The access of this person begins again, under the same name and password.

    Refused: access.not-yours, staff.not-ended. Of another school: 404.
    """
    allow(by, DEED)
    locked_person = _locked(person, by)
    at = act_moment(by.school_id, at)
    if locked_person.is_active:
        raise Refused("staff.not-ended", _("{locked_person} can sign in already.", locked_person=locked_person.name))
    locked_person.is_active = True
    locked_person.save(update_fields=["is_active"])
    forget_wrong_codes(locked_person)
    _record("staff.let_in_again", locked_person, by, at)
    return locked_person


def _locked(person: Person, by: Person) -> Person:
    lock_school(by.school_id)
    return one_of(locked(staff_ever_for(by)), pk=person.pk)


def _record(kind: str, person: Person, by: Person, at: datetime) -> None:
    payload = {"by": by.as_record(), "person": person.as_record(), "role": person.role}
    append(kind=kind, school=person.school_id, at=at, payload=payload)
