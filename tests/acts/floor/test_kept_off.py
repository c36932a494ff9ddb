"""A report keeps its machine off the floor too: no one is given it, a run that waits can't start, one in use stops."""

import uuid

from machines.reports.hazards.acts import Sighting, clear_report, report_hazard
from tests.acts.reading import code_of
from tests.factories.machines import NOON, Floor
from tests.factories.shop_in_use import MINUTE, floor_faults, given, opened, started, stopped


def test_a_machine_kept_off_is_neither_given_nor_started_until_the_report_is_cleared(floor: Floor) -> None:
    cast = floor.cast
    floor.make_cleared(cast.student)
    opened(floor)
    run = given(floor, cast.student)
    asked = {"shop": cast.shop, "machine": floor.saw_2, "by": cast.classmate, "tap": uuid.uuid4(), "at": NOON}
    report = report_hazard(seen=Sighting("guard"), **asked)
    assert code_of(started, run, at=NOON + MINUTE) == "machine.kept-off"
    stopped(run)
    later = NOON + 6 * MINUTE
    assert code_of(given, floor, cast.student, at=later) == "machine.kept-off"
    clear_report(report=report, finding="The guard is on.", by=cast.teacher, at=later)
    started(given(floor, cast.student, at=later), at=later + MINUTE)
    assert floor_faults() == ()


def test_a_report_on_a_machine_in_use_leaves_the_run_to_be_stopped(floor: Floor) -> None:
    cast = floor.cast
    floor.make_cleared(cast.student)
    opened(floor)
    run = started(given(floor, cast.student), at=NOON + MINUTE)
    asked = {"shop": cast.shop, "machine": floor.saw_2, "by": cast.student, "tap": uuid.uuid4(), "at": NOON + MINUTE}
    report_hazard(seen=Sighting("smoke"), **asked)
    assert run.ended_at is None
    assert stopped(run).ended_at is not None
