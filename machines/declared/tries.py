"""The records of demonstrations that were not complete, as the logbook verifies and guards them."""

from shopsafe.logbook.verification.declared import Aspect, RecordTable, json_value, names_entry, payload_value, plain
from shopsafe.logbook.verification.triggers import Guard, not_erased

KEY = payload_value("not_yet")
WHOSE = (plain("student_id", "student.id"), plain("machine_id", "machine.id"))

NOT_YET = RecordTable(
    name="try without a sign-off",
    table="machines_notyet",
    entry="r.entry_id",
    aspects=(
        Aspect(
            "made",
            {"demonstration.not_yet": {}},
            KEY,
            "r.at",
            (
                *WHOSE,
                plain("kind_id", "machine_kind.id"),
                plain("by_id", "by.id"),
                json_value("again", payload_value("again")),
                json_value("not_shown", payload_value("not_shown")),
                plain("note"),
                names_entry(),
            ),
        ),
        Aspect(
            "undone",
            {"demonstration.not_yet_undone": {}},
            KEY,
            "r.undone_at",
            (*WHOSE, plain("undone_by_id", "by.id")),
        ),
    ),
    guard=Guard(
        fixed="id school_id student_id machine_id kind_id by_id at again not_shown note tap",
        ends=("entry_id", "undone_at undone_by_id"),
        one_of=("id = NEW.id", "tap = NEW.tap"),
        keeps=not_erased("OLD.entry_id"),
    ),
)

TRIES = (NOT_YET,)
