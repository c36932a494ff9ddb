"""Entries of the logbook about incidents, with the sentence that each says."""

from typing import Any

STUDENT, BY = {"id": 7, "name": "A. Kaya"}, {"id": 1, "name": "Ms Ferrant"}
SAW, SHOP = {"id": 2, "name": "Band saw 2"}, {"id": 6, "name": "Room W"}
AT_SAW = {
    "by": BY,
    "shop": SHOP,
    "machine": SAW,
    "number": 1,
    "sort": "incident",
    "happened_at": "2026-10-12T17:00:00Z",
}
NEAR = {"by": BY, "shop": SHOP, "number": 2, "sort": "near-miss", "happened_at": "2026-10-12T17:00:00Z"}

INCIDENT_CASES: list[tuple[str, dict[str, Any], str]] = [
    (
        "incident.opened",
        AT_SAW | {"complete": False},
        "Incident report begun: incident at band saw 2 on October 12, 2026, in Room W, by Ms Ferrant",
    ),
    (
        "incident.written",
        NEAR | {"complete": True},
        "Incident report saved: near miss in Room W on October 12, 2026, version 2, complete, by Ms Ferrant",
    ),
    (
        "incident.account",
        AT_SAW | {"student": STUDENT, "part": "concerned", "hurt": "to the nurse"},
        "Incident report: A. Kaya, incident at band saw 2 on October 12, 2026, hurt: to the nurse, version 1, "
        "written by Ms Ferrant",
    ),
    (
        "incident.account",
        NEAR | {"student": STUDENT, "part": "witness", "hurt": ""},
        "Incident report: A. Kaya saw it: near miss in Room W on October 12, 2026, written by Ms Ferrant",
    ),
    (
        "incident.photo_added",
        {"by": BY, "shop": SHOP, "incident": 4},
        "Photo in an incident report: report 4, in Room W, by Ms Ferrant",
    ),
    (
        "incident.file_made",
        {"by": BY, "shop": SHOP, "incident": 4, "form": "hand-over file"},
        "File of an incident report: report 4 as hand-over file, made by Ms Ferrant",
    ),
    (
        "incident.follow_up_added",
        {"by": BY, "shop": SHOP, "words": "A longer push stick.", "day": "2026-10-20"},
        "Follow-up: A longer push stick, by October 20, 2026, in Room W, by Ms Ferrant",
    ),
    (
        "incident.follow_up_done",
        {"by": BY, "shop": SHOP, "words": "A longer push stick", "done": "Bought two."},
        "Follow-up done: A longer push stick, in Room W, by Ms Ferrant: Bought two",
    ),
    (
        "incident_settings.set",
        {"by": BY, "emergency_number": "911", "office_phone": "", "due_days": 7},
        "Incident settings: emergency number 911, reports complete within 7 days, by Ms Ferrant",
    ),
]
