"""Two teachers save one report, or write up the same machine, at the same moment."""

from uuid import uuid4

import pytest

from machines.incidents.acts.reports import open_incident, write_report
from machines.models import Incident, IncidentAccount, TagOut
from shopsafe.school.refusals import Refused
from tests.cast import make_cast
from tests.factories.at_once import at_once
from tests.factories.machines import NOON, Floor, make_floor
from tests.factories.reports.incidents import begun, hurt_at_saw


@pytest.fixture
def floor(transactional_db: None) -> Floor:
    return make_floor(make_cast())


def test_one_version_is_saved_and_the_others_are_refused(floor: Floor) -> None:
    incident, report, by = begun(floor), hurt_at_saw(floor), floor.cast.colleague

    def save() -> None:
        write_report(incident=incident, report=report, seen=1, by=by, tap=uuid4(), at=NOON)

    errors = at_once(save, save, save, save)
    assert [error.code for error in errors if isinstance(error, Refused)] == ["incident.changed"] * 3
    assert len(errors) == 3
    assert [row.number for row in incident.versions.all()] == [1, 2]
    assert IncidentAccount.objects.count() == 2


def test_two_reports_of_one_machine_tag_it_out_once(floor: Floor) -> None:
    report, shop, teacher = hurt_at_saw(floor), floor.cast.shop, floor.cast.teacher

    def begin() -> None:
        open_incident(shop=shop, report=report, by=teacher, tap=uuid4(), at=NOON)

    assert at_once(begin, begin) == []
    assert (Incident.objects.count(), TagOut.objects.count()) == (2, 1)
