"""What the logbook says of the shop in use, in plain words. Pure: payload to sentence."""

from shopsafe.language.messages import _, counted, marked
from shopsafe.logbook.sentences import EntryKind, Payload, by, name
from shopsafe.school.logbook_words import day

MEANS = {
    "taken over": marked("{by} in {shop}, who took over"),
    "sign-off": marked("{by} in {shop}, by a sign-off"),
    "start": marked("{by} in {shop}, by a start"),
}
PRESENT = marked("{by} in {shop}")


def machine(payload: Payload) -> str:
    """As it is written inside a sentence: "band saw 2", but "CNC router 1"."""
    machine_name, named = name(payload, "machine"), payload.get("machine")
    as_written = machine_name[1:2].isupper() or (isinstance(named, dict) and named.get("own_name"))
    return machine_name if as_written else machine_name[:1].lower() + machine_name[1:]


def of_shop(payload: Payload) -> str:
    """ "Room W2", or "Room W2 for 9 Teak"."""
    shop = name(payload, "shop")
    if not payload.get("section"):
        return shop
    return _("{shop} for {section}", shop=shop, section=name(payload, "section"))


def present(payload: Payload) -> str:
    return _(MEANS.get(payload["means"], PRESENT), by=by(payload), shop=name(payload, "shop"))


def opened(payload: Payload) -> str:
    return _("{shop} by {by}", shop=of_shop(payload), by=by(payload))


def closed(payload: Payload) -> str:
    answers = payload["answers"]
    words = counted(
        "{opening}, {count} line checked",
        "{opening}, {count} lines checked",
        count=len(answers),
        opening=opened(payload),
    )
    open_lines = [answer["line"] for answer in answers if not answer["done"]]
    return _("{words}, not done: {lines}", words=words, lines="; ".join(open_lines)) if open_lines else words


def left_open(payload: Payload) -> str:
    return _("{shop}, ended by {by} without the closing list", shop=of_shop(payload), by=by(payload))


def at_shop(payload: Payload) -> str:
    return _("{shop} by {by}", shop=name(payload, "shop"), by=by(payload))


def given(payload: Payload) -> str:
    return _(
        "{machine} to {student} by {by}", machine=machine(payload), student=name(payload, "student"), by=by(payload)
    )


def _confirmed_by(payload: Payload) -> str:
    return by(payload) if payload.get("by") else _("the student")


def started(payload: Payload) -> str:
    return counted(
        "{student} at {machine}, {count} point checked by {by}",
        "{student} at {machine}, {count} points checked by {by}",
        count=len(payload["checks"]),
        student=name(payload, "student"),
        machine=machine(payload),
        by=_confirmed_by(payload),
    )


def ended(payload: Payload) -> str:
    return _(
        "{student} at {machine}, stopped, confirmed by {by}",
        student=name(payload, "student"),
        machine=machine(payload),
        by=_confirmed_by(payload),
    )


def helped(payload: Payload) -> str:
    helper = name(payload, "helper")
    return _("{helper} at {machine}, named by {by}", helper=helper, machine=machine(payload), by=by(payload))


def released(payload: Payload) -> str:
    helper = name(payload, "helper")
    return _("{helper} at {machine} by {by}", helper=helper, machine=machine(payload), by=by(payload))


def waits(payload: Payload) -> str:
    words = _("{student} for {machine}", student=name(payload, "student"), machine=machine(payload))
    return _("{words}, by {by}", words=words, by=by(payload)) if payload.get("by") else words


def granted(payload: Payload) -> str:
    return _(
        "{substitute} with {section} on {day}, by {by}",
        substitute=name(payload, "substitute"),
        section=name(payload, "section"),
        day=day(payload["day"]),
        by=by(payload),
    )


def settings(payload: Payload) -> str:
    minutes, lines = payload["presence_minutes"], len(payload["closing_lines"])
    words = {
        "shop": name(payload, "shop"),
        "minutes": counted("{count} minute", "{count} minutes", count=minutes),
        "lines": counted("{count} line", "{count} lines", count=lines),
        "by": by(payload),
    }
    if payload["keeps_runs"]:
        return _("{shop} keeps runs, presence every {minutes}, {lines} at closing, by {by}", **words)
    return _("{shop} keeps no runs, presence every {minutes}, {lines} at closing, by {by}", **words)


FLOOR_WORDS = {
    "shop.opened": EntryKind(marked("Shop opened"), opened),
    "shop.presence": EntryKind(marked("Presence"), present),
    "shop.closed": EntryKind(marked("Shop closed"), closed),
    "shop.left_open": EntryKind(marked("Shop left open"), left_open),
    "runs.ended": EntryKind(marked("All runs ended"), at_shop),
    "runs.allowed": EntryKind(marked("Machines may run again"), at_shop),
    "run.given": EntryKind(marked("Machine given"), given),
    "run.started": EntryKind(marked("Run started"), started),
    "run.ended": EntryKind(marked("Run ended"), ended),
    "helper.named": EntryKind(marked("Helper"), helped),
    "helper.ended": EntryKind(marked("Helper released"), released),
    "waiting.joined": EntryKind(marked("Waiting list"), waits),
    "waiting.left": EntryKind(marked("Waiting list left"), waits),
    "supervising.granted": EntryKind(marked("Supervising granted"), granted),
    "supervising.withdrawn": EntryKind(marked("Supervising withdrawn"), granted),
    "floor.set": EntryKind(marked("Floor settings"), settings),
}
