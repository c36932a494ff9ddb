"""Prints on the wall, for what comes after them. The act itself is tested in tests/acts."""

import random
from datetime import datetime
from typing import Any
from uuid import uuid4

from django.utils import timezone

from machines.models import Machine, Print, PrintSet
from machines.prints.acts import PrintRequest, give_codes, record_prints, record_set
from machines.prints.batches.acts import ask_for_set, claim_next
from machines.prints.sheets.wall import shop_snapshot
from shopsafe.school.models import Person
from tests.cast import Cast
from tests.factories.machines import NOON, Floor


def hung(floor: Floor, machine: Machine | None = None, at: datetime = NOON, by: Person | None = None) -> Print:
    """The wall card of a machine for the cast's class, as it would say at that moment."""
    machine, section = machine or floor.saw_2, floor.cast.section
    _, shows = shop_snapshot(floor.cast.shop, at).card(machine, [section])
    by = by or floor.cast.teacher
    print_request = PrintRequest("wall card", floor.cast.shop, "letter", shows, [section], machine)
    coded = give_codes([print_request], by=by, at=at, choose=random.Random(machine.pk).choice)
    return record_prints(coded, by=by, at=at)[0]


def chart_hung(floor: Floor, at: datetime = NOON) -> Print:
    """The wall chart of the cast's class."""
    _, shows = shop_snapshot(floor.cast.shop, at).chart(floor.cast.section)
    print_request = PrintRequest("wall chart", floor.cast.shop, "tabloid", shows, [floor.cast.section])
    coded = give_codes([print_request], by=floor.cast.teacher, at=at, choose=random.Random(0).choice)
    return record_prints(coded, by=floor.cast.teacher, at=at)[0]


def asked_for(cast: Cast, **more: Any) -> PrintSet:
    """A set for the cast's shop, asked for by its teacher."""
    wants = {"paper": "letter", "metres": "3", "pockets": True, "slips": []}
    asked = {"key": uuid4(), "what": "monday", "shop": cast.shop, "section": None, "wants": wants, "by": cast.teacher}
    return ask_for_set(**asked | {"at": timezone.now()} | more)


def made(row: PrintSet) -> PrintSet:
    """The same as a worker leaves it, with a file of nothing."""
    claim = uuid4()
    claim_next(claim=claim, at=timezone.now())
    record_set([], of=row, claim=claim, at=timezone.now())
    row.file.parent.mkdir(parents=True, exist_ok=True)
    row.file.write_bytes(b"")
    return row
