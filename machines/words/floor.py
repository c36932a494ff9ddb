"""What the logbook says of the shop in use, in plain words. Pure: payload to sentence."""

from shopsafe.logbook.sentences import EntryKind, Payload, by, count, name
from shopsafe.school.logbook_words import day

MEANS = {
    "button": "",
    "opened": "",
    "taken over": ", who took over",
    "sign-off": ", by a sign-off",
    "start": ", by a start",
}


def machine(payload: Payload) -> str:
    """As it stands inside a sentence: "band saw 2", but "CNC router 1"."""
    machine_name, named = name(payload, "machine"), payload.get("machine")
    as_written = machine_name[1:2].isupper() or (isinstance(named, dict) and named.get("own_name"))
    return machine_name if as_written else machine_name[:1].lower() + machine_name[1:]


def of_class(payload: Payload) -> str:
    return f" for {name(payload, 'section')}" if payload.get("section") else ""


def opened(payload: Payload) -> str:
    return f"{name(payload, 'shop')}{of_class(payload)} by {by(payload)}"


def closed(payload: Payload) -> str:
    answers = payload["answers"]
    open_lines = [answer["line"] for answer in answers if not answer["done"]]
    rest = f", not done: {'; '.join(open_lines)}" if open_lines else ""
    return f"{opened(payload)}, {count(len(answers), 'line', 'lines')} checked{rest}"


def given(payload: Payload) -> str:
    return f"{machine(payload)} to {name(payload, 'student')} by {by(payload)}"


def started(payload: Payload) -> str:
    checker = by(payload) if payload.get("by") else "the student"
    checked = count(len(payload["checks"]), "point", "points")
    return f"{name(payload, 'student')} at {machine(payload)}, {checked} checked by {checker}"


def ended(payload: Payload) -> str:
    confirmed = by(payload) if payload.get("by") else "the student"
    return f"{name(payload, 'student')} at {machine(payload)}, stopped, confirmed by {confirmed}"


def helped(payload: Payload) -> str:
    return f"{name(payload, 'helper')} at {machine(payload)}, named by {by(payload)}"


def waits(payload: Payload) -> str:
    added = f", by {by(payload)}" if payload.get("by") else ""
    return f"{name(payload, 'student')} for {machine(payload)}{added}"


def granted(payload: Payload) -> str:
    return f"{name(payload, 'substitute')} with {name(payload, 'section')} on {day(payload['day'])}, by {by(payload)}"


def settings(payload: Payload) -> str:
    runs = "keeps runs" if payload["keeps_runs"] else "keeps no runs"
    minutes = count(payload["presence_minutes"], "minute", "minutes")
    lines = count(len(payload["closing_lines"]), "line", "lines")
    return f"{name(payload, 'shop')} {runs}, presence every {minutes}, {lines} at closing, by {by(payload)}"


FLOOR_WORDS = {
    "shop.opened": EntryKind("Shop opened", opened),
    "shop.presence": EntryKind("Presence", lambda p: f"{by(p)} in {name(p, 'shop')}{MEANS.get(p['means'], '')}"),
    "shop.closed": EntryKind("Shop closed", closed),
    "shop.left_open": EntryKind(
        "Shop left open", lambda p: f"{name(p, 'shop')}{of_class(p)}, ended by {by(p)} without the closing list"
    ),
    "runs.ended": EntryKind("All runs ended", lambda p: f"{name(p, 'shop')} by {by(p)}"),
    "runs.allowed": EntryKind("Machines may run again", lambda p: f"{name(p, 'shop')} by {by(p)}"),
    "run.given": EntryKind("Machine given", given),
    "run.started": EntryKind("Run started", started),
    "run.ended": EntryKind("Run ended", ended),
    "helper.named": EntryKind("Helper", helped),
    "helper.ended": EntryKind("Helper released", lambda p: f"{name(p, 'helper')} at {machine(p)} by {by(p)}"),
    "waiting.joined": EntryKind("Waiting list", waits),
    "waiting.left": EntryKind("Waiting list left", waits),
    "supervising.granted": EntryKind("Supervising granted", granted),
    "supervising.withdrawn": EntryKind("Supervising withdrawn", granted),
    "floor.set": EntryKind("Floor settings", settings),
}
