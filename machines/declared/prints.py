"""Prints with a code, as the logbook verifies and guards them."""

from shopsafe.logbook.verification.declared import (
    Aspect,
    Column,
    RecordTable,
    joined_ids,
    json_value,
    payload_value,
    plain,
    said_ids,
)
from shopsafe.logbook.verification.triggers import Guard

WHAT = (
    plain("sheet"),
    plain("shop_id", "shop.id"),
    plain("machine_id", "machine.id"),
    Column("classes", joined_ids("section_id", "machines_print_sections", "print_id"), said_ids("sections")),
    json_value("shows", payload_value("shows")),
)

PRINT = RecordTable(
    name="print",
    table="machines_print",
    key="r.code",
    aspects=(
        # The moment on a sheet is that of its drawing, the entry's that of its recording.
        Aspect(
            "made",
            {"print.made": {}},
            payload_value("code"),
            "''",
            (*WHAT, plain("printed_by_id", "by.id")),
            moment=False,
        ),
        Aspect(
            "taken down",
            {"print.taken_down": {}},
            payload_value("code"),
            "r.taken_down_at",
            (*WHAT, plain("taken_down_by_id", "by.id")),
        ),
    ),
    guard=Guard(
        fixed="id school_id shop_id code sheet target machine_id paper shows printed_at printed_by_id",
        ends=("replaced_at", "replaced_by_id", "taken_down_at taken_down_by_id"),
        one_of=(
            "id = NEW.id",
            "code = NEW.code",
            "target = NEW.target AND replaced_at IS NULL AND taken_down_at IS NULL "
            "AND NEW.replaced_at IS NULL AND NEW.taken_down_at IS NULL",
        ),
        pairs=(
            (
                "machines_print_sections",
                Guard(
                    fixed="id print_id section_id",
                    one_of=("id = NEW.id", "print_id = NEW.print_id AND section_id = NEW.section_id"),
                ),
            ),
        ),
    ),
)
