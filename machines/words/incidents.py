"""What the logbook says of incidents, in plain words. Pure: payload to sentence. Codes are words already."""

from datetime import datetime

from shopsafe.language.messages import _, marked
from shopsafe.logbook.sentences import EntryKind, Payload, by, name
from shopsafe.school.logbook_words import day

SORTS = {"incident": marked("incident"), "near-miss": marked("near miss"), "misuse": marked("misuse")}


def where(payload: Payload) -> str:
    """ "near miss at band saw 2 on 12 October 2026"; in its shop where there was no machine."""
    machine = name(payload, "machine", "")
    happened = day(datetime.fromisoformat(payload["happened_at"]).date().isoformat())
    incident = _(SORTS.get(payload["sort"], str(payload["sort"])))
    if not machine:
        return _("{incident} in {shop} on {day}", incident=incident, shop=name(payload, "shop"), day=happened)
    machine = machine[:1].lower() + machine[1:]
    return _("{incident} at {machine} on {day}", incident=incident, machine=machine, day=happened)


def account(payload: Payload) -> str:
    words = {"student": name(payload, "student", _("no student")), "incident": where(payload), "by": by(payload)}
    if payload["part"] == "witness":
        return _("{student} saw it: {incident}, written by {by}", **words)
    if not payload["hurt"]:
        return _("{student}, {incident}, version {number}, written by {by}", **words, number=payload["number"])
    return _(
        "{student}, {incident}, hurt: {hurt}, version {number}, written by {by}",
        **words,
        hurt=_(payload["hurt"]),
        number=payload["number"],
    )


def opened(payload: Payload) -> str:
    return _("{incident}, in {shop}, by {by}", incident=where(payload), shop=name(payload, "shop"), by=by(payload))


def written(payload: Payload) -> str:
    words = {"incident": where(payload), "number": payload["number"], "by": by(payload)}
    if payload["complete"]:
        return _("{incident}, version {number}, complete, by {by}", **words)
    return _("{incident}, version {number}, not complete yet, by {by}", **words)


def photo_added(payload: Payload) -> str:
    shop = name(payload, "shop")
    return _("report {number}, in {shop}, by {by}", number=payload["incident"], shop=shop, by=by(payload))


def file_made(payload: Payload) -> str:
    form = _(payload["form"])
    return _("report {number} as {form}, made by {by}", number=payload["incident"], form=form, by=by(payload))


def follow_up(payload: Payload) -> str:
    words = {"words": payload["words"].rstrip("."), "shop": name(payload, "shop"), "by": by(payload)}
    done = f": {payload['done']}" if payload.get("done") else ""
    if payload.get("day"):
        return _("{words}, by {day}, in {shop}, by {by}", **words, day=day(payload["day"])) + done
    return _("{words}, in {shop}, by {by}", **words) + done


def settings(payload: Payload) -> str:
    return _(
        "emergency number {number}, reports complete within {days} days, by {by}",
        number=payload["emergency_number"],
        days=payload["due_days"],
        by=by(payload),
    )


INCIDENT_WORDS = {
    "incident.opened": EntryKind(marked("Incident report begun"), opened),
    "incident.written": EntryKind(marked("Incident report saved"), written),
    "incident.account": EntryKind(marked("Incident report"), account),
    "incident.photo_added": EntryKind(marked("Photo in an incident report"), photo_added),
    "incident.file_made": EntryKind(marked("File of an incident report"), file_made),
    "incident.follow_up_added": EntryKind(marked("Follow-up"), follow_up),
    "incident.follow_up_done": EntryKind(marked("Follow-up done"), follow_up),
    "incident_settings.set": EntryKind(marked("Incident settings"), settings),
}
