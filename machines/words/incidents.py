"""What the logbook says of incidents, in plain words. Pure: payload to sentence. Codes are words already."""

from datetime import datetime

from shopsafe.logbook.sentences import EntryKind, Payload, by, name
from shopsafe.school.logbook_words import day

SORTS = {"incident": "incident", "near-miss": "near miss", "misuse": "misuse"}


def where(payload: Payload) -> str:
    """ "near miss at band saw 2 on 12 October 2026"; in its shop where there was no machine."""
    machine = name(payload, "machine", "")
    place = f"at {machine[:1].lower()}{machine[1:]}" if machine else f"in {name(payload, 'shop')}"
    happened = datetime.fromisoformat(payload["happened_at"])
    return f"{SORTS.get(payload['sort'], payload['sort'])} {place} on {day(happened.date().isoformat())}"


def account(payload: Payload) -> str:
    student = name(payload, "student", "no student")
    if payload["part"] == "witness":
        return f"{student} saw it: {where(payload)}, written by {by(payload)}"
    hurt = f", hurt: {payload['hurt']}" if payload["hurt"] else ""
    return f"{student}, {where(payload)}{hurt}, version {payload['number']}, written by {by(payload)}"


def opened(payload: Payload) -> str:
    return f"{where(payload)}, in {name(payload, 'shop')}, by {by(payload)}"


def written(payload: Payload) -> str:
    state = "complete" if payload["complete"] else "not complete yet"
    return f"{where(payload)}, version {payload['number']}, {state}, by {by(payload)}"


def follow_up(payload: Payload) -> str:
    until = f", by {day(payload['day'])}" if payload.get("day") else ""
    done = f": {payload['done']}" if payload.get("done") else ""
    return f"{payload['words'].rstrip('.')}{until}, in {name(payload, 'shop')}, by {by(payload)}{done}"


INCIDENT_WORDS = {
    "incident.opened": EntryKind("Incident report begun", opened),
    "incident.written": EntryKind("Incident report saved", written),
    "incident.account": EntryKind("Incident report", account),
    "incident.photo_added": EntryKind(
        "Photo in an incident report", lambda p: f"report {p['incident']}, in {name(p, 'shop')}, by {by(p)}"
    ),
    "incident.file_made": EntryKind(
        "File of an incident report", lambda p: f"report {p['incident']} as {p['form']}, made by {by(p)}"
    ),
    "incident.follow_up_added": EntryKind("Follow-up", follow_up),
    "incident.follow_up_done": EntryKind("Follow-up done", follow_up),
    "incident_settings.set": EntryKind(
        "Incident settings",
        lambda p: f"emergency number {p['emergency_number']}, reports complete within {p['due_days']} days, by {by(p)}",
    ),
}
