"""A shop in use for tests: opened for the cast's class, with runs kept, and machines given by acts."""

import uuid
from datetime import datetime, timedelta
from typing import Any

import pytest

from machines.declared.floor import FLOOR_RECORDS
from machines.floor.acts.runs import assign, end_run, start
from machines.floor.acts.shops import open_shop
from machines.floor.checks import check_lines
from machines.models import FloorSettings, Machine, Run, ShopOpening
from shopsafe.logbook.verification import declared
from shopsafe.logbook.verification.verify import verify
from shopsafe.school.models import Person, Shop
from tests.factories.machines import NOON, SUMMER, Floor

MINUTE = timedelta(minutes=1)


def keep_runs(shop: Shop, **more: Any) -> FloorSettings:
    """The shop keeps runs, set by a teacher of it."""
    fields = {"school_id": shop.school_id, "keeps_runs": True, "set_at": SUMMER, "set_by": shop.teachers.first()}
    row, _ = FloorSettings.objects.update_or_create(shop=shop, defaults=fields | more)
    return row


def opened(floor: Floor, at: datetime = NOON, **more: Any) -> ShopOpening:
    """The cast's shop, opened by the teacher for the class; it keeps runs."""
    if not FloorSettings.objects.filter(shop=floor.cast.shop).exists():
        keep_runs(floor.cast.shop)
    asked = {"shop": floor.cast.shop, "section": floor.cast.section, "by": floor.cast.teacher, "tap": uuid.uuid4()}
    return open_shop(**(asked | more), at=at)


def given(floor: Floor, student: Person, machine: Machine | None = None, at: datetime = NOON, **more: Any) -> Run:
    """The teacher gives the machine to the student, who must be cleared."""
    asked = {"machine": machine or floor.saw_2, "student": student, "by": floor.cast.teacher, "tap": uuid.uuid4()}
    return assign(**(asked | more), at=at)


def started(run: Run, by: Person | None = None, at: datetime = NOON, **more: Any) -> Run:
    """The pre-use check is done, by the student if not said otherwise."""
    asked = {"run": run, "checked": check_lines(run.machine.kind), "by": by or run.student, "tap": uuid.uuid4()}
    return start(**(asked | more), at=at)


def running(floor: Floor, student: Person, machine: Machine | None = None, at: datetime = NOON) -> Run:
    """A student at a running machine."""
    return started(given(floor, student, machine, at), at=at)


def stopped(run: Run, by: Person | None = None, at: datetime = NOON + 5 * MINUTE) -> Run:
    return end_run(run=run, by=by or run.student, tap=uuid.uuid4(), at=at)


def floor_faults() -> tuple[str, ...]:
    """What verify says of the records of the shop in use, whatever else a test made up without entries."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(declared, "DECLARED", {table.name: table for table in FLOOR_RECORDS})
        verdict = verify()
    faults = [verdict.fault.sentence] if verdict.fault else []
    return (*faults, *(fault.sentence for fault in verdict.records))
