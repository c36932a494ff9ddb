"""Hazard reports, inspections and service, as the logbook verifies and guards them."""

from shopsafe.logbook.verification.declared import (
    Aspect,
    Column,
    RecordTable,
    day,
    flag,
    json_value,
    names_entry,
    payload_value,
    plain,
)
from shopsafe.logbook.verification.older import Payload
from shopsafe.logbook.verification.triggers import Guard, not_erased

REPORT_KEY = payload_value("report")
PHOTO_DIGEST = "(SELECT p.digest FROM machines_reportphoto p WHERE p.report_id = r.id)"
REPORT_HAS_ENTRY = "SELECT 1 FROM machines_hazardreport h WHERE h.id = {row}.report_id AND h.entry_id IS NOT NULL"


def reporter(payload: Payload) -> object:
    """A student's report is about the student, so that it goes with the student's record; others only made it."""
    return payload_value("student.id")(payload) or payload_value("by.id")(payload)


REPORT = RecordTable(
    name="hazard report",
    table="machines_hazardreport",
    entry="r.entry_id",
    aspects=(
        Aspect(
            "made",
            {"report.made": {}},
            REPORT_KEY,
            "r.at",
            (
                plain("shop_id", "shop.id"),
                plain("machine_id", "machine.id"),
                plain("kind", "seen_code"),
                plain("words"),
                plain("effect"),
                Column("by_id", "r.by_id", reporter),
                Column("photo", PHOTO_DIGEST, payload_value("photo")),
                names_entry(),
            ),
        ),
        Aspect(
            "ended",
            {"report.cleared": {}, "report.tagged_out": {"found": lambda payload: ""}},
            REPORT_KEY,
            "r.ended_at",
            (
                plain("machine_id", "machine.id"),
                plain("ended_by_id", "by.id"),
                plain("found"),
                plain("tag_out_id", "tag_out"),
            ),
        ),
    ),
    guard=Guard(
        fixed="id school_id shop_id machine_id kind words effect by_id at tap",
        ends=("entry_id", "ended_at ended_by_id found tag_out_id"),
        one_of=("id = NEW.id", "tap = NEW.tap"),
        keeps=not_erased("OLD.entry_id"),
        pairs=(
            (
                "machines_reportphoto",
                Guard(
                    fixed="id school_id report_id digest content",
                    one_of=("id = NEW.id", "report_id = NEW.report_id"),
                    keeps=f"EXISTS ({REPORT_HAS_ENTRY.format(row='OLD')} AND {not_erased('h.entry_id')})",
                    closed=f"EXISTS ({REPORT_HAS_ENTRY.format(row='NEW')})",
                ),
            ),
        ),
    ),
)

ONCE, TAPPED = "id = NEW.id", "tap = NEW.tap"

INSPECTION_LIST = RecordTable(
    name="inspection list",
    table="machines_inspectionlist",
    aspects=(
        Aspect(
            "set",
            {"inspection.list_set": {}},
            payload_value("list"),
            "r.set_at",
            (
                plain("kind_id", "machine_kind.id"),
                plain("set_by_id", "by.id"),
                json_value("lines", payload_value("lines")),
            ),
        ),
    ),
    guard=Guard(fixed="id school_id kind_id lines set_at set_by_id", one_of=(ONCE,)),
)

INSPECTION = RecordTable(
    name="inspection",
    table="machines_inspection",
    entry="r.entry_id",
    aspects=(
        Aspect(
            "made",
            {"inspection.made": {}},
            payload_value("inspection"),
            "r.at",
            (
                plain("machine_id", "machine.id"),
                plain("by_id", "by.id"),
                plain("scope"),
                json_value("answers", payload_value("answers")),
                flag("complete", payload_value("complete")),
                plain("words"),
                plain("tag_out_id", "tag_out"),
                plain("reason"),
                plain("parts"),
                names_entry(),
            ),
        ),
    ),
    guard=Guard(
        fixed="id school_id machine_id scope answers complete words by_id at tap tag_out_id tagged_out_by_id reason "
        "parts",
        ends=("entry_id",),
        one_of=(ONCE, TAPPED, "tag_out_id = NEW.tag_out_id"),
    ),
)

SERVICE = RecordTable(
    name="service record",
    table="machines_servicerecord",
    entry="r.entry_id",
    aspects=(
        Aspect(
            "made",
            {"machine.serviced": {}},
            payload_value("service"),
            "r.at",
            (
                plain("machine_id", "machine.id"),
                plain("by_id", "by.id"),
                day("day"),
                plain("did"),
                plain("done_by"),
                plain("parts"),
                names_entry(),
            ),
        ),
    ),
    guard=Guard(
        fixed="id school_id machine_id day did done_by parts by_id at tap", ends=("entry_id",), one_of=(ONCE, TAPPED)
    ),
)

REPORTS = (REPORT, INSPECTION_LIST, INSPECTION, SERVICE)
