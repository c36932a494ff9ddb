"""What the logbook says of machines, sign-offs, holds and tag-outs, in plain words. Pure: payload to sentence."""

from shopsafe.logbook.sentences import EntryKind, Payload, by, count, name
from shopsafe.school.logbook_words import day


def machine(payload: Payload, role: str = "machine") -> str:
    """As it stands inside a sentence: "band saw 2", but "CNC router 1", and "Big Bertha 1" as it was named.

    Entries of before own names were marked read as if each machine were called after its kind.
    """
    machine_name, named = name(payload, role), payload.get(role)
    as_written = machine_name[1:2].isupper() or (isinstance(named, dict) and named.get("own_name"))
    return machine_name if as_written else machine_name[:1].lower() + machine_name[1:]


def signed_off(payload: Payload) -> str:
    points = count(len(payload["points"]), "point", "points")
    who = f"{name(payload, 'student')} on {machine(payload)} by {by(payload)}"
    return f"{who}, {len(payload['points'])} of {points}"


def not_yet(payload: Payload) -> str:
    again = count(len(payload["again"]), "point", "points")
    return f"{name(payload, 'student')} on {machine(payload)} by {by(payload)}, {again} to show again"


def withdrawn(payload: Payload) -> str:
    return f"{name(payload, 'student')} on {machine(payload)} by {by(payload)}: {payload['reason']}"


def held(payload: Payload) -> str:
    everywhere = payload["machines"] == "every machine"
    where = "every machine" if everywhere else name(payload, "machines")
    last = f", until {day(payload['last_day'])}" if payload.get("last_day") else ""
    why = payload.get("why") or payload["words"]
    return f"{name(payload, 'student')}, {where}, by {by(payload)}: {why.rstrip('.') if last else why}{last}"


def asked_for(payload: Payload) -> str:
    what = machine(payload) if "machine" in payload else f"every {machine(payload, 'machine_kind')}"
    first = ", ".join(name(payload, role) for role in ("banks", "machine_kinds", "machines") if payload[role])
    return f"{what} asks for {first or 'no quiz'} from {day(payload['from_day'])}, set by {by(payload)}"


def printed(payload: Payload) -> str:
    of = f"{payload['sheet']} {payload['code']}" + (f" of {machine(payload)}" if "machine" in payload else "")
    replaces = f", in place of {payload['replaces']}" if payload.get("replaces") else ""
    return f"{of} for {name(payload, 'sections', 'the whole shop')} by {by(payload)}{replaces}"


PARTS_OF_A_KIND = {
    "name": "its name",
    "stop": "how it is stopped",
    "protect": "what is worn",
    "pre_use": "what is checked before use",
    "demonstration": "what a student shows",
    "tag_out": "what puts it out of service",
    "stop_and_ask": "when to stop and ask",
    "helpers": "its helpers",
    "helper_role": "what a helper is called",
    "helper_cleared": "whether a helper is cleared",
}


def kind_changed(payload: Payload) -> str:
    before, after = payload["before"], payload["after"]
    parts = [label for part, label in PARTS_OF_A_KIND.items() if before.get(part) != after.get(part)]
    return f"{name(payload, 'machine_kind')}, {', '.join(parts)}, by {by(payload)}"


def kind_added(payload: Payload) -> str:
    """Those that nobody added came with the ready-made banks."""
    return name(payload, "machine_kind") + (f" by {by(payload)}" if "by" in payload else ", with its ready-made bank")


def demonstration_time(payload: Payload) -> str:
    minutes = count(payload["minutes"], "minute", "minutes")
    group = f"{minutes} and {payload['minutes_each']} for each student, up to {payload['group_size']} at a time"
    return f"{name(payload, 'machine_kind')}, {group}, by {by(payload)}"


def hazard(payload: Payload) -> str:
    where = machine(payload) if "machine" in payload else name(payload, "shop")
    return f"{where}, by {name(payload, 'student', by(payload))}: {payload['seen']}"


def reported(payload: Payload) -> str:
    words = f". {payload['words']}" if payload.get("words") else ""
    effect = f" ({payload['effect']})" if payload["effect"] != "flag" else ""
    return f"{hazard(payload)}{effect}{words}"


def report_ended(payload: Payload) -> str:
    where = machine(payload) if "machine" in payload else name(payload, "shop")
    cleared_with = f": {payload['found']}" if payload.get("found") else ""
    return f"{where}, {payload['seen']}, by {by(payload)}{cleared_with}"


def inspected(payload: Payload) -> str:
    answers = [line["answer"] for line in payload["answers"]]
    no = count(answers.count("no"), "line", "lines") + " answered no" if "no" in answers else "no line answered no"
    instead = f", instead of the teacher who tagged it out: {payload['reason']}" if payload.get("reason") else ""
    return f"{machine(payload)}, {SCOPES[payload['scope']]}, by {by(payload)}, {no}{instead}"


SCOPES = {
    "daily": "daily list",
    "weekly": "weekly list",
    "term": "list of the term",
    "return": "whole list before its return to service",
}


def serviced(payload: Payload) -> str:
    parts = f" (parts: {payload['parts']})" if payload.get("parts") else ""
    return f"{machine(payload)} on {day(payload['day'])} by {payload['done_by']}: {payload['did'].rstrip('.')}{parts}"


def list_set(payload: Payload) -> str:
    lines = sum(map(len, payload["lines"].values()))
    return f"{name(payload, 'machine_kind')}, {count(lines, 'line', 'lines')}, by {by(payload)}"


WORDS = {
    "demonstration_time.set": EntryKind("Minutes of a demonstration", demonstration_time),
    "signoff.made": EntryKind("Sign-off", signed_off),
    "signoff.undone": EntryKind(
        "Sign-off undone", lambda p: f"{name(p, 'student')} on {machine(p)} by {by(p)}, within ten minutes"
    ),
    "signoff.withdrawn": EntryKind("Sign-off withdrawn", withdrawn),
    "demonstration.not_yet": EntryKind("Not yet", not_yet),
    "demonstration.not_yet_undone": EntryKind(
        "Not yet undone", lambda p: f"{name(p, 'student')} on {machine(p)} by {by(p)}, within ten minutes"
    ),
    "hold.placed": EntryKind("Hold", held),
    "hold.lifted": EntryKind("Hold lifted", held),
    "hold.rule_learned": EntryKind(
        "Rule card read and recalled, for a hold",
        lambda p: f"{name(p, 'student')}, {name(p, 'bank')}: {p['rule']['says'].rstrip('.')}",
    ),
    "record.exported": EntryKind("Evidence file", lambda p: f"{name(p, 'student')}, made by {by(p)} as {p['form']}"),
    "machine.tagged_out": EntryKind("Tagged out", lambda p: f"{machine(p)} by {by(p)}: {p['reason']}"),
    "report.made": EntryKind("Hazard reported", reported),
    "report.cleared": EntryKind("Report cleared", report_ended),
    "report.tagged_out": EntryKind("Report ended by a tag-out", report_ended),
    "inspection.made": EntryKind("Inspection", inspected),
    "inspection.list_set": EntryKind("Inspection list", list_set),
    "machine.serviced": EntryKind("Service", serviced),
    "calendar.opened": EntryKind(
        "Inspection calendar opened", lambda p: f"due inspections of {name(p, 'shop')}, by {by(p)}"
    ),
    "calendar.ended": EntryKind(
        "Inspection calendar ended", lambda p: f"due inspections of {name(p, 'shop')}, by {by(p)}"
    ),
    "print.made": EntryKind("Print", printed),
    "print.taken_down": EntryKind("Print taken down", printed),
    "requirements.set": EntryKind("Requirements", asked_for),
    "machine.added": EntryKind("Machine", lambda p: f"{machine(p)} into {name(p, 'shop')} by {by(p)}"),
    "machine.renamed": EntryKind("Machine changed", lambda p: f"{p['before']} is {machine(p)} now, by {by(p)}"),
    "machine.retired": EntryKind("Machine left", lambda p: f"{machine(p)} out of {name(p, 'shop')}, by {by(p)}"),
    "class.machines_set": EntryKind(
        "Machines of a class", lambda p: f"{name(p, 'section')} uses {name(p, 'machine_kinds')}, by {by(p)}"
    ),
    "kind.changed": EntryKind("Kind of machine changed", kind_changed),
    "kind.added": EntryKind("Kind of machine", kind_added),
    "machine.returned": EntryKind("Returned to service", lambda p: f"{machine(p)} by {by(p)}: {p['inspection']}"),
}
