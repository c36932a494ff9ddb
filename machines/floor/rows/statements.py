"""What a floor asks for again and again, written out in SQL: whether it is open, its machines with the run at each, and
who waits."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.core.exceptions import EmptyResultSet
from django.db import connection
from django.db.models import Model, QuerySet

from machines.models import (
    FloorSettings,
    HazardReport,
    Machine,
    MachineKind,
    PresenceConfirmation,
    Run,
    ShopOpening,
    WaitingStudent,
)
from shopsafe.database.plain_rows import Columns, moment
from shopsafe.school.models import Person, School, Section, Shop, Term

MACHINE = Columns(Machine, "machine", ("id", "school_id", "shop_id", "kind_id", "name", "number"))
KIND = Columns(MachineKind, "kind", ("id", "school_id", "name", "helpers", "helper_role"))
RUN = Columns(Run, "run", ("id", "school_id", "machine_id", "student_id", "given_at", "started_at", "ended_at"))
NAMES = ("id", "school_id", "name", "given_name", "family_name", "sign_in_name", "local_id")
STUDENT = Columns(Person, "student", NAMES)
WAITING = Columns(WaitingStudent, "waiting")

PRESENCE, OPENING = Columns(PresenceConfirmation, "presence"), Columns(ShopOpening, "opening")
BY, OPENED_BY = Columns(Person, "confirming"), Columns(Person, "opener")
SECTION, TERM = Columns(Section, "section"), Columns(Term, "term")
SHOP, SETTINGS, SCHOOL = Columns(Shop, "shop"), Columns(FloorSettings, "settings"), Columns(School, "school")
OPEN_PARTS = (PRESENCE, BY, OPENING, OPENED_BY, SECTION, TERM, SHOP, SETTINGS, SCHOOL)

# One row a shop that no one has closed, with the last confirmation of presence.
OPEN_NOW = f"""
SELECT {", ".join(part.sql for part in OPEN_PARTS)},
       (SELECT MIN(ended.at) FROM machines_endofruns ended
         WHERE ended.opening_id = opening.id AND ended.lifted_at IS NULL)
  FROM machines_shopopening opening
  LEFT JOIN machines_presenceconfirmation presence ON presence.id =
       (SELECT MAX(latest.id) FROM machines_presenceconfirmation latest WHERE latest.opening_id = opening.id)
  LEFT JOIN school_person confirming ON confirming.id = presence.by_id
  LEFT JOIN school_person opener ON opener.id = opening.opened_by_id
  LEFT JOIN school_section section ON section.id = opening.section_id
  LEFT JOIN school_term term ON term.id = section.term_id
  LEFT JOIN school_shop shop ON shop.id = opening.shop_id
  LEFT JOIN machines_floorsettings settings ON settings.shop_id = shop.id
  LEFT JOIN school_school school ON school.id = shop.school_id
 WHERE opening.closed_at IS NULL AND opening.shop_id IN ({{shops}}) AND presence.id IS NOT NULL
"""  # noqa: S608  names of columns, from above

# One row a machine that is in its shop, with what keeps it out of use and the run that no one has ended. A hold counts
# from when it is placed, in whichever order the moments stand.
MACHINES_NOW = f"""
SELECT {MACHINE.sql}, {KIND.sql}, {RUN.sql}, {STUDENT.sql},
       (SELECT MIN(tag.id) FROM machines_tagout tag WHERE tag.machine_id = machine.id AND tag.at <= %(at)s
           AND (tag.returned_at IS NULL OR tag.returned_at > %(at)s)),
       (SELECT report.id FROM machines_hazardreport report WHERE report.machine_id = machine.id
           AND report.effect = '{HazardReport.Effect.KEEP_OFF}' AND report.at <= %(at)s
           AND (report.ended_at IS NULL OR report.ended_at > %(at)s) ORDER BY report.at, report.id LIMIT 1),
       EXISTS (SELECT 1 FROM machines_hold hold WHERE hold.student_id = run.student_id AND hold.lifted_at IS NULL
           AND (hold.last_day IS NULL OR hold.last_day >= %(day)s)
           AND (hold.everywhere OR EXISTS (SELECT 1 FROM machines_hold_machines held
               WHERE held.hold_id = hold.id AND held.machine_id = machine.id)))
  FROM machines_machine machine
  LEFT JOIN machines_machinekind kind ON kind.id = machine.kind_id
  LEFT JOIN machines_run run ON run.machine_id = machine.id AND run.ended_at IS NULL
  LEFT JOIN school_person student ON student.id = run.student_id
 WHERE machine.shop_id = %(shop)s AND machine.added_at <= %(at)s
   AND (machine.retired_at IS NULL OR machine.retired_at > %(at)s)
 ORDER BY machine.number, machine.id
"""  # noqa: S608  names of columns, from above

WAITING_NOW = f"""
SELECT {WAITING.sql}, {STUDENT.sql}
  FROM machines_waitingstudent waiting
  LEFT JOIN school_person student ON student.id = waiting.student_id
 WHERE waiting.opening_id = %(opening)s AND waiting.left_at IS NULL
 ORDER BY waiting.id
"""  # noqa: S608


@dataclass(frozen=True)
class MachineRow:
    """A machine, the keys of the tag-out and of the report that keep it out of use, and the run at it. `held`: a hold
    covers the student of the run here."""

    machine: Machine
    tag_out: int | None
    off: int | None
    run: Run | None
    held: bool


def machines_now(shop: int, at: datetime, day: date) -> list[MachineRow]:
    """The machines of a shop by number. One query."""
    stored_at, stored_day = connection.ops.adapt_datetimefield_value(at), connection.ops.adapt_datefield_value(day)
    with connection.cursor() as cursor:
        cursor.execute(MACHINES_NOW, {"shop": shop, "at": stored_at, "day": stored_day})
        return [_machine_row(row) for row in cursor.fetchall()]


def _machine_row(row: Sequence[Any]) -> MachineRow:
    (machine, kind, run, student), (tag_out, report, held) = instances((MACHINE, KIND, RUN, STUDENT), row)
    machine.kind = kind
    if run is not None:
        run.machine, run.student = machine, student
    return MachineRow(machine, tag_out, report, run, bool(held))


def instances(parts: Sequence[Columns[Any]], row: Sequence[Any]) -> tuple[list[Any], Sequence[Any]]:
    """The instances whose columns stand side by side in a row, None for one that the join did not find; and the rest
    of the row."""
    read: list[Model | None] = []
    for part in parts:
        values, row = row[: len(part.names)], row[len(part.names) :]
        read.append(None if values[0] is None else part.instance(values))
    return read, row


def openings_now(shops: Collection[int] | QuerySet[Shop]) -> list[tuple[PresenceConfirmation, datetime | None]]:
    """The last confirmation in each of the shops that no one has closed, with its opening and all that belongs to it;
    and since when its runs are ended. One query."""
    if isinstance(shops, QuerySet):
        try:
            keys, asked = shops.order_by().values("pk").query.sql_with_params()
        except EmptyResultSet:
            return []
    else:
        keys, asked = ",".join(str(int(pk)) for pk in shops) or "NULL", ()
    with connection.cursor() as cursor:
        cursor.execute(OPEN_NOW.replace("{shops}", keys), asked)
        return [_opening(row) for row in cursor.fetchall()]


def _opening(row: Sequence[Any]) -> tuple[PresenceConfirmation, datetime | None]:
    read, (ended_at,) = instances(OPEN_PARTS, row)
    presence, by, opening, opened_by, section, term, shop, settings, school = read
    presence.by, presence.opening, opening.opened_by, opening.shop = by, opening, opened_by, shop
    opening.section, shop.school = section, school
    if section is not None:
        section.term, section.shop = term, shop
    shop._state.fields_cache["floor"] = settings  # what `shop.floor` reads; None where nothing is set
    return presence, moment(ended_at) if ended_at else None


def waiting_now(opening: int) -> list[WaitingStudent]:
    """Who waits in an opening, the first to ask first, with the student. One query."""
    with connection.cursor() as cursor:
        cursor.execute(WAITING_NOW, {"opening": opening})
        rows = cursor.fetchall()
    waiting = []
    for row in rows:
        (waits, student), _ = instances((WAITING, STUDENT), row)
        waits.student = student
        waiting.append(waits)
    return waiting
