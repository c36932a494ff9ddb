"""A person with the whole database changes a report: verify names it, and the triggers refuse it."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.db import IntegrityError, connection, transaction

from machines.incidents.acts.follow_ups import add_follow_up
from machines.incidents.acts.photos import add_photo
from shopsafe.logbook.verification.verify import verify
from tests.factories.machines import NOON, Floor
from tests.factories.reports.incidents import begun, photo_of
from tests.logbook.logbook_bypass import lifting
from tests.logbook.record import run

HOUR = timedelta(hours=1)
OURS = ("incident", "of report", "in report", "follow-up")


def wrong() -> list[str]:
    """What verify finds about incidents. The factories' other rows have no entries."""
    return [fault.sentence for fault in verify().records if any(name in fault.sentence for name in OURS)]


FORGED = {
    "another moment of an incident": "UPDATE machines_incident SET by_id = by_id + 1",
    "another machine": "UPDATE machines_incidentversion SET machine_id = NULL",
    "another moment": "UPDATE machines_incidentversion SET happened_at = at",
    "no longer complete": "UPDATE machines_incidentversion SET is_complete = NOT is_complete",
    "other facts of the machine": """UPDATE machines_incidentversion SET known = '{"lines": []}'""",
    "other facts of the student": """UPDATE machines_incidentaccount SET known = '{"lines": []}'""",
    "another digest": "UPDATE machines_incidentaccount SET digest = 'x'",
    "other words": "UPDATE machines_incidentaccount SET content = '{}'",
    "not hurt": "UPDATE machines_incidentaccount SET hurt = 'no one'",
    "an account deleted": "DELETE FROM machines_incidentaccount",
    "another photo": "UPDATE machines_incidentphoto SET digest = 'x'",
    "a follow-up done": "UPDATE machines_followup SET done_at = at, done_by_id = by_id",
    "a follow-up with other words": "UPDATE machines_followup SET words = 'Nothing'",
}


def recorded(floor: Floor) -> None:
    """One row of each table of incidents."""
    incident = begun(floor, at=NOON + HOUR, happened_at=NOON)
    add_photo(incident=incident, sent=photo_of(), by=floor.cast.teacher, at=NOON + HOUR)
    add_follow_up(incident=incident, words="Rope", by=floor.cast.teacher, tap=uuid4(), at=NOON + HOUR)


def test_verify_finds_each_forgery(floor: Floor) -> None:
    recorded(floor)
    assert not wrong()
    unseen = []
    for forgery, statement in FORGED.items():
        with transaction.atomic():
            down, up = lifting(connection)
            run([*down, statement, *up])
            unseen += [] if wrong() else [forgery]
            transaction.set_rollback(True)
    assert not unseen


def test_the_database_refuses_each_forgery(floor: Floor) -> None:
    recorded(floor)
    for forgery, statement in FORGED.items():
        if forgery != "a follow-up done":  # that is written once, by an act
            with pytest.raises(IntegrityError, match="on record"), transaction.atomic():
                run([statement])
