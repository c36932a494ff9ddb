"""The safety records of machines, as the logbook verifies and guards them: sign-offs, holds, tag-outs, requirements."""

from machines.clearance.amounts import AMOUNTS
from machines.declared.floor import FLOOR_RECORDS
from machines.declared.older_requirements import first_requirements
from machines.declared.prints import PRINT
from machines.declared.reports import REPORTS
from machines.declared.tries import TRIES
from shopsafe.logbook.verification.declared import (
    Aspect,
    Column,
    RecordTable,
    always,
    day,
    flag,
    joined_ids,
    json_value,
    moment,
    names_entry,
    payload_value,
    plain,
    said_ids,
)
from shopsafe.logbook.verification.older import Payload, always_said_since
from shopsafe.logbook.verification.triggers import Guard, not_erased

SIGN_OFF_KEY, HOLD_KEY, TAG_OUT_KEY = payload_value("sign_off"), payload_value("hold"), payload_value("tag_out")
WHOSE = (plain("student_id", "student.id"), plain("machine_id", "machine.id"))

SIGN_OFF = RecordTable(
    name="sign-off",
    table="machines_signoff",
    entry="r.entry_id",
    aspects=(
        Aspect(
            "made",
            {"signoff.made": {}},
            SIGN_OFF_KEY,
            "r.at",
            (
                *WHOSE,
                plain("kind_id", "machine_kind.id"),
                plain("term_id", "term.id"),
                plain("by_id", "by.id"),
                json_value("points", payload_value("points")),
                names_entry(),
            ),
        ),
        Aspect("undone", {"signoff.undone": {}}, SIGN_OFF_KEY, "r.undone_at", (*WHOSE, plain("undone_by_id", "by.id"))),
        Aspect(
            "withdrawn",
            {"signoff.withdrawn": {}},
            SIGN_OFF_KEY,
            "r.withdrawn_at",
            (*WHOSE, plain("withdrawn_by_id", "by.id"), plain("withdrawn_reason", "reason")),
        ),
    ),
    guard=Guard(
        fixed="id school_id student_id machine_id kind_id term_id by_id at points tap renews_id",
        ends=("entry_id", "undone_at undone_by_id", "withdrawn_at withdrawn_by_id withdrawn_reason"),
        one_of=(
            "id = NEW.id",
            "tap = NEW.tap",
            "student_id = NEW.student_id AND machine_id = NEW.machine_id AND renews_id IS NEW.renews_id "
            "AND undone_at IS NULL AND withdrawn_at IS NULL AND NEW.undone_at IS NULL AND NEW.withdrawn_at IS NULL",
            "renews_id = NEW.renews_id AND undone_at IS NULL AND withdrawn_at IS NULL "
            "AND NEW.undone_at IS NULL AND NEW.withdrawn_at IS NULL",
        ),
        keeps=not_erased("OLD.entry_id"),
    ),
)

# A rule learned again is added to its hold; what was learned before stays, and nothing comes after the hold.
LEARNED = {
    "sqlite": "NEW.learned IS NOT OLD.learned AND (OLD.lifted_at IS NOT NULL OR EXISTS "
    "(SELECT 1 FROM json_each(OLD.learned) o WHERE NOT EXISTS "
    "(SELECT 1 FROM json_each(NEW.learned) n WHERE n.key = o.key AND n.value IS o.value)))",
    "postgresql": "NEW.learned <> OLD.learned AND (OLD.lifted_at IS NOT NULL OR NOT NEW.learned @> OLD.learned)",
}
HOLD_HAS_ENTRY = "SELECT 1 FROM machines_hold h WHERE h.id = {row}.hold_id AND h.entry_id IS NOT NULL"


def is_everywhere(payload: Payload) -> bool:
    return payload.get("machines") == "every machine"


ON_MACHINES = (
    plain("student_id", "student.id"),
    flag("everywhere", is_everywhere),
    Column(
        "machines", joined_ids("machine_id", "machines_hold_machines", "hold_id"), said_ids("machines", ordered=False)
    ),
)

HOLD = RecordTable(
    name="hold",
    table="machines_hold",
    entry="r.entry_id",
    aspects=(
        Aspect(
            "placed",
            {"hold.placed": {}},
            HOLD_KEY,
            "r.placed_at",
            (
                *ON_MACHINES,
                json_value("rules", payload_value("rules")),
                day("last_day"),
                plain("placed_by_id", "by.id"),
                names_entry(),
            ),
            # Holds name rules since they can be lifted by studying them.
            older=always_said_since("hold.placed", "rules", []),
        ),
        Aspect(
            "placed for its reason",
            {"hold.placed": {}},
            HOLD_KEY,
            "r.placed_at",
            (
                plain("reason", "reason_code"),
                plain("words"),
                plain("lifts", "lifts_code"),
                plain("lifts_words"),
                plain("bank_id", "bank.id"),
            ),
            needs="reason_code",
        ),
        Aspect(
            "lifted",
            {"hold.lifted": {}},
            HOLD_KEY,
            "r.lifted_at",
            (*ON_MACHINES, plain("lifted_by_id", "by.id"), plain("lifted_words", "words")),
        ),
    ),
    guard=Guard(
        fixed="id school_id student_id everywhere reason words lifts lifts_words bank_id rules last_day "
        "placed_by_id placed_at tap",
        ends=("entry_id", "lifted_at lifted_by_id lifted_words"),
        changes=LEARNED,
        one_of=("id = NEW.id", "tap = NEW.tap"),
        keeps=not_erased("OLD.entry_id"),
        pairs=(
            (
                "machines_hold_machines",
                Guard(
                    fixed="id hold_id machine_id",
                    keeps=f"EXISTS ({HOLD_HAS_ENTRY.format(row='OLD')} AND {not_erased('h.entry_id')})",
                    closed=f"EXISTS ({HOLD_HAS_ENTRY.format(row='NEW')})",
                ),
            ),
        ),
    ),
)

LEARNED_RULE = RecordTable(
    name="rule of hold",
    table="machines_hold",
    source={
        "sqlite": "machines_hold r, json_each(r.learned) l",
        "postgresql": "machines_hold r CROSS JOIN LATERAL jsonb_each_text(r.learned) l",
    },
    aspects=(
        Aspect(
            "studied",
            {"hold.rule_learned": {}},
            HOLD_KEY,
            {
                "sqlite": "l.value",
                "postgresql": "CAST(l.value AS timestamptz)",
            },
            (plain("student_id", "student.id"), plain("rule", "rule.code", sql="l.key")),
        ),
    ),
)

TAG_OUT = RecordTable(
    name="tag-out",
    table="machines_tagout",
    entry="r.entry_id",
    aspects=(
        Aspect(
            "made",
            {"machine.tagged_out": {}},
            TAG_OUT_KEY,
            "r.at",
            (plain("machine_id", "machine.id"), plain("by_id", "by.id"), plain("reason"), names_entry()),
        ),
        Aspect(
            "ended by a return to service",
            {"machine.returned": {}},
            TAG_OUT_KEY,
            "r.returned_at",
            (plain("machine_id", "machine.id"), plain("returned_by_id", "by.id"), plain("inspection")),
        ),
    ),
    guard=Guard(
        fixed="id school_id machine_id reason by_id at tap",
        ends=("entry_id", "returned_at returned_by_id inspection"),
        one_of=(
            "id = NEW.id",
            "tap = NEW.tap",
            "machine_id = NEW.machine_id AND returned_at IS NULL AND NEW.returned_at IS NULL",
        ),
    ),
)


def asked_first(column: str) -> Column:
    """What requirements ask for first, of one sort, in the order in which it is listed."""
    listed = {"bank_id": "banks", "kind_id": "machine_kinds", "machine_id": "machines"}[column]
    sql = joined_ids(column, "machines_asked", "requirements_id", order="place")
    return Column(listed, sql, said_ids(listed))


# A new machine type asks for its general bank and its own, and otherwise for what a shop usually does.
FIRST = {
    "agreement": always(1),
    "documents": always(""),
    "demonstration": always("machine"),
    "ends_with": always("term"),
    "as_kind": always(0),
    "holds_from": payload_value("@"),
}

REQUIREMENTS = RecordTable(
    name="requirements of machine type",
    table="machines_requirements",
    key="r.kind_id",
    aspects=(
        Aspect(
            "set",
            {"requirements.set": {}, "kind.added": FIRST, "bank.added": {}},
            payload_value("machine_kind.id"),
            "r.set_at",
            (
                plain("machine_id", "machine.id"),
                plain("set_by_id", "by.id"),
                flag("agreement", payload_value("agreement")),
                plain("documents", otherwise=""),  # entries before there were any say nothing of them
                plain("demonstration"),
                plain("ends_with"),
                *map(plain, AMOUNTS),
                flag("as_kind", payload_value("as_kind")),
                moment("holds_from"),
                *map(asked_first, ("bank_id", "kind_id", "machine_id")),
            ),
            older=first_requirements,
        ),
    ),
    guard=Guard(
        fixed="id school_id kind_id machine_id as_kind agreement documents demonstration ends_with "
        f"{' '.join(AMOUNTS)} holds_from set_at set_by_id",
        one_of=("id = NEW.id",),
        pairs=(
            (
                "machines_asked",
                Guard(
                    fixed="id requirements_id place bank_id kind_id machine_id",
                    one_of=("id = NEW.id", "requirements_id = NEW.requirements_id AND place = NEW.place"),
                ),
            ),
        ),
    ),
)

RECORDS = (SIGN_OFF, HOLD, LEARNED_RULE, TAG_OUT, REQUIREMENTS, PRINT, *TRIES, *FLOOR_RECORDS, *REPORTS)
