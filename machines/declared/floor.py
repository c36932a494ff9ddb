"""The records of the shop in use, as the logbook verifies and guards them: openings, presence, runs, grants."""

from shopsafe.logbook.verification.declared import (
    Aspect,
    RecordTable,
    day,
    json_value,
    moment,
    names_entry,
    payload_value,
    plain,
)
from shopsafe.logbook.verification.triggers import Guard, not_erased

OPENING_KEY, PRESENCE_KEY, END_KEY, GRANT_KEY = (
    payload_value("opening"),
    payload_value("presence"),
    payload_value("end"),
    payload_value("grant"),
)
RUN_KEY, HELP_KEY, WAITING_KEY = payload_value("run"), payload_value("help"), payload_value("waiting")
ONCE, TAPPED = "id = NEW.id", "tap = NEW.tap"

OPENING = RecordTable(
    name="opening of shop",
    table="machines_shopopening",
    entry="r.entry_id",
    aspects=(
        Aspect(
            "opened",
            {"shop.opened": {}},
            OPENING_KEY,
            "r.opened_at",
            (
                plain("shop_id", "shop.id"),
                plain("section_id", "section.id"),
                plain("opened_by_id", "by.id"),
                names_entry(),
            ),
        ),
        Aspect(
            "closed",
            {"shop.closed": {}, "shop.left_open": {}},
            OPENING_KEY,
            "r.closed_at",
            (
                plain("shop_id", "shop.id"),
                plain("closed_by_id", "by.id"),
                plain("closed_how", "how"),
                json_value("answers", payload_value("answers")),
            ),
        ),
    ),
    guard=Guard(
        fixed="id school_id shop_id section_id opened_by_id opened_at tap",
        ends=("entry_id", "closed_at closed_by_id closed_how answers"),
        one_of=(ONCE, TAPPED, "shop_id = NEW.shop_id AND closed_at IS NULL AND NEW.closed_at IS NULL"),
    ),
)

PRESENCE = RecordTable(
    name="confirmation of presence",
    table="machines_presenceconfirmation",
    entry="r.entry_id",
    aspects=(
        Aspect(
            "made",
            {"shop.opened": {}, "shop.presence": {}},
            PRESENCE_KEY,
            "r.at",
            (
                plain("opening_id", "opening"),
                plain("by_id", "by.id"),
                plain("means"),
                moment("clock"),
                names_entry(),
            ),
        ),
    ),
    guard=Guard(fixed="id school_id opening_id by_id means at clock", ends=("entry_id",), one_of=(ONCE,)),
)

END_OF_RUNS = RecordTable(
    name="end of all runs",
    table="machines_endofruns",
    entry="r.entry_id",
    aspects=(
        Aspect(
            "made",
            {"runs.ended": {}},
            END_KEY,
            "r.at",
            (plain("opening_id", "opening"), plain("by_id", "by.id"), names_entry()),
        ),
        Aspect(
            "lifted",
            {"runs.allowed": {}},
            END_KEY,
            "r.lifted_at",
            (plain("opening_id", "opening"), plain("lifted_by_id", "by.id")),
        ),
    ),
    guard=Guard(
        fixed="id school_id opening_id by_id at tap",
        ends=("entry_id", "lifted_at lifted_by_id"),
        one_of=(ONCE, TAPPED, "opening_id = NEW.opening_id AND lifted_at IS NULL AND NEW.lifted_at IS NULL"),
    ),
)

SUPERVISING = RecordTable(
    name="grant of supervising",
    table="machines_supervisinggrant",
    entry="r.entry_id",
    aspects=(
        Aspect(
            "made",
            {"supervising.granted": {}},
            GRANT_KEY,
            "r.at",
            (
                plain("section_id", "section.id"),
                plain("substitute_id", "substitute.id"),
                day("day"),
                plain("by_id", "by.id"),
                names_entry(),
            ),
        ),
        Aspect(
            "withdrawn",
            {"supervising.withdrawn": {}},
            GRANT_KEY,
            "r.withdrawn_at",
            (
                plain("section_id", "section.id"),
                plain("substitute_id", "substitute.id"),
                plain("withdrawn_by_id", "by.id"),
            ),
        ),
    ),
    guard=Guard(
        fixed="id school_id section_id substitute_id day by_id at tap",
        ends=("entry_id", "withdrawn_at withdrawn_by_id"),
        one_of=(
            ONCE,
            TAPPED,
            "section_id = NEW.section_id AND substitute_id = NEW.substitute_id AND day = NEW.day "
            "AND withdrawn_at IS NULL AND NEW.withdrawn_at IS NULL",
        ),
    ),
)

WHOSE_RUN = (plain("student_id", "student.id"), plain("machine_id", "machine.id"))

RUN = RecordTable(
    name="run",
    table="machines_run",
    entry="r.entry_id",
    aspects=(
        Aspect(
            "given",
            {"run.given": {}},
            RUN_KEY,
            "r.given_at",
            (*WHOSE_RUN, plain("opening_id", "opening"), plain("given_by_id", "by.id"), names_entry()),
        ),
        Aspect(
            "started",
            {"run.started": {}},
            RUN_KEY,
            "r.started_at",
            (*WHOSE_RUN, plain("checked_by_id", "by.id"), json_value("checks", payload_value("checks"))),
        ),
        Aspect("ended", {"run.ended": {}}, RUN_KEY, "r.ended_at", (*WHOSE_RUN, plain("ended_by_id", "by.id"))),
    ),
    guard=Guard(
        fixed="id school_id opening_id machine_id student_id given_by_id given_at tap",
        ends=("entry_id", "started_at checked_by_id checks", "ended_at ended_by_id"),
        one_of=(
            ONCE,
            TAPPED,
            "machine_id = NEW.machine_id AND ended_at IS NULL AND NEW.ended_at IS NULL",
            "student_id = NEW.student_id AND ended_at IS NULL AND NEW.ended_at IS NULL",
        ),
        keeps=not_erased("OLD.entry_id"),
    ),
)

WHOSE_HELP = (plain("student_id", "helper.id"), plain("run_id", "run"))

HELP = RecordTable(
    name="help at a run",
    table="machines_runhelper",
    entry="r.entry_id",
    aspects=(
        Aspect("named", {"helper.named": {}}, HELP_KEY, "r.at", (*WHOSE_HELP, plain("by_id", "by.id"), names_entry())),
        Aspect("ended", {"helper.ended": {}}, HELP_KEY, "r.ended_at", (*WHOSE_HELP, plain("ended_by_id", "by.id"))),
    ),
    guard=Guard(
        fixed="id school_id run_id student_id by_id at",
        ends=("entry_id", "ended_at ended_by_id"),
        one_of=(
            ONCE,
            "run_id = NEW.run_id AND student_id = NEW.student_id AND ended_at IS NULL AND NEW.ended_at IS NULL",
        ),
        keeps=not_erased("OLD.entry_id"),
    ),
)

WAITING = RecordTable(
    name="place on a waiting list",
    table="machines_waitingstudent",
    entry="r.entry_id",
    aspects=(
        Aspect(
            "joined",
            {"waiting.joined": {}},
            WAITING_KEY,
            "r.joined_at",
            (*WHOSE_RUN, plain("opening_id", "opening"), plain("added_by_id", "by.id"), names_entry()),
        ),
        Aspect("left", {"waiting.left": {}}, WAITING_KEY, "r.left_at", (*WHOSE_RUN, plain("left_by_id", "by.id"))),
    ),
    guard=Guard(
        fixed="id school_id opening_id machine_id student_id added_by_id joined_at",
        ends=("entry_id", "left_at left_by_id"),
        one_of=(
            ONCE,
            "opening_id = NEW.opening_id AND machine_id = NEW.machine_id AND student_id = NEW.student_id "
            "AND left_at IS NULL AND NEW.left_at IS NULL",
        ),
        keeps=not_erased("OLD.entry_id"),
    ),
)

FLOOR_RECORDS = (OPENING, PRESENCE, END_OF_RUNS, SUPERVISING, RUN, HELP, WAITING)
