"""Incidents with their versions, accounts, photos and follow-ups, as the logbook verifies and guards them."""

from shopsafe.logbook.verification.declared import (
    Aspect,
    RecordTable,
    day,
    flag,
    json_value,
    moment,
    names_entry,
    payload_value,
    plain,
)
from shopsafe.logbook.verification.triggers import Guard, not_erased

INCIDENT = RecordTable(
    name="incident",
    table="machines_incident",
    entry="r.entry_id",
    aspects=(
        Aspect(
            "opened",
            {"incident.opened": {}},
            payload_value("incident"),
            "r.at",
            (plain("shop_id", "shop.id"), plain("by_id", "by.id"), names_entry()),
        ),
    ),
    guard=Guard(fixed="id school_id shop_id by_id at", ends=("entry_id",), one_of=("id = NEW.id",)),
)

KNOWN = (json_value("known", payload_value("known")), plain("digest"))

VERSION = RecordTable(
    name="version of report",
    table="machines_incidentversion",
    entry="r.entry_id",
    aspects=(
        Aspect(
            "written",
            {"incident.opened": {}, "incident.written": {}},
            payload_value("version"),
            "r.at",
            (
                plain("incident_id", "incident"),
                plain("number"),
                plain("sort"),
                plain("machine_id", "machine.id"),
                moment("happened_at"),
                flag("is_complete", payload_value("complete")),
                *KNOWN,
                plain("by_id", "by.id"),
                names_entry(),
            ),
        ),
    ),
    guard=Guard(
        fixed="id school_id incident_id number sort machine_id happened_at is_complete known digest by_id at tap",
        ends=("entry_id",),
        one_of=("id = NEW.id", "tap = NEW.tap", "incident_id = NEW.incident_id AND number = NEW.number"),
    ),
)

ACCOUNT = RecordTable(
    name="account in report",
    table="machines_incidentaccount",
    entry="r.entry_id",
    source="machines_incidentaccount r JOIN machines_incidentversion v ON v.id = r.version_id",
    aspects=(
        Aspect(
            "written",
            {"incident.account": {}},
            payload_value("account"),
            "v.at",
            (
                plain("version_id", "version"),
                plain("student_id", "student.id"),
                plain("part"),
                plain("hurt"),
                json_value("content", payload_value("content")),
                *KNOWN,
                names_entry(),
            ),
        ),
    ),
    guard=Guard(
        fixed="id school_id version_id student_id part hurt content known digest",
        ends=("entry_id",),
        one_of=(
            "id = NEW.id",
            "version_id = NEW.version_id AND student_id IS NEW.student_id",
        ),
        keeps=f"OLD.student_id IS NULL OR ({not_erased('OLD.entry_id')})",
    ),
)

PHOTO = RecordTable(
    name="photo of report",
    table="machines_incidentphoto",
    entry="r.entry_id",
    aspects=(
        Aspect(
            "added",
            {"incident.photo_added": {}},
            payload_value("photo"),
            "r.at",
            (plain("incident_id", "incident"), plain("digest"), plain("by_id", "by.id"), names_entry()),
        ),
    ),
    guard=Guard(
        fixed="id school_id incident_id key digest by_id at",
        ends=("entry_id",),
        one_of=("id = NEW.id", "key = NEW.key", "incident_id = NEW.incident_id AND digest = NEW.digest"),
    ),
)

FOLLOW_UP = RecordTable(
    name="follow-up",
    table="machines_followup",
    entry="r.entry_id",
    aspects=(
        Aspect(
            "added",
            {"incident.follow_up_added": {}},
            payload_value("follow_up"),
            "r.at",
            (plain("incident_id", "incident"), plain("words"), day("day"), plain("by_id", "by.id"), names_entry()),
        ),
        Aspect(
            "done",
            {"incident.follow_up_done": {}},
            payload_value("follow_up"),
            "r.done_at",
            (plain("incident_id", "incident"), plain("done_by_id", "by.id"), plain("done_words", "done")),
        ),
    ),
    guard=Guard(
        fixed="id school_id incident_id words day by_id at tap",
        ends=("entry_id", "done_at done_by_id done_words"),
        one_of=("id = NEW.id", "tap = NEW.tap"),
    ),
)

INCIDENTS = (INCIDENT, VERSION, ACCOUNT, PHOTO, FOLLOW_UP)
