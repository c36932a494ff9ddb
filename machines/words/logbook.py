"""What the logbook says of machines, sign-offs, holds and tag-outs, in plain words. Pure: payload to sentence."""

from shopsafe.language.messages import _, counted, marked
from shopsafe.logbook.sentences import EntryKind, Payload, by, name
from shopsafe.school.logbook_words import day

# Words that entries hold, and that are looked up where an entry is shown.
STORED = (
    marked("wall card"), marked("wall chart"), marked("pocket card"), marked("keep off until the teacher looks")
)  # fmt: skip


def machine(payload: Payload, role: str = "machine") -> str:
    """As it is written inside a sentence: "band saw 2", but "CNC router 1", and "Big Bertha 1" as it was named.

    Entries of before own names were marked read as if each machine were called after its kind.
    """
    machine_name, named = name(payload, role), payload.get(role)
    as_written = machine_name[1:2].isupper() or (isinstance(named, dict) and named.get("own_name"))
    return machine_name if as_written else machine_name[:1].lower() + machine_name[1:]


def signed_off(payload: Payload) -> str:
    return counted(
        "{student} on {machine} by {by}, {count} of {count} point",
        "{student} on {machine} by {by}, {count} of {count} points",
        count=len(payload["points"]),
        student=name(payload, "student"),
        machine=machine(payload),
        by=by(payload),
    )


def not_yet(payload: Payload) -> str:
    return counted(
        "{student} on {machine} by {by}, {count} point to show again",
        "{student} on {machine} by {by}, {count} points to show again",
        count=len(payload["again"]),
        student=name(payload, "student"),
        machine=machine(payload),
        by=by(payload),
    )


def undone(payload: Payload) -> str:
    return _(
        "{student} on {machine} by {by}, within ten minutes",
        student=name(payload, "student"),
        machine=machine(payload),
        by=by(payload),
    )


def withdrawn(payload: Payload) -> str:
    return _(
        "{student} on {machine} by {by}: {reason}",
        student=name(payload, "student"),
        machine=machine(payload),
        by=by(payload),
        reason=payload["reason"],
    )


def held(payload: Payload) -> str:
    everywhere = payload["machines"] == "every machine"
    why = payload.get("why") or payload["words"]
    words = {
        "student": name(payload, "student"),
        "machines": _("every machine") if everywhere else name(payload, "machines"),
        "by": by(payload),
    }
    if not payload.get("last_day"):
        return _("{student}, {machines}, by {by}: {why}", **words, why=why)
    last_day = day(payload["last_day"])
    return _("{student}, {machines}, by {by}: {why}, until {day}", **words, why=why.rstrip("."), day=last_day)


def asked_for(payload: Payload) -> str:
    what = machine(payload) if "machine" in payload else _("every {machine}", machine=machine(payload, "machine_kind"))
    first = ", ".join(name(payload, role) for role in ("banks", "machine_kinds", "machines") if payload[role])
    return _(
        "{what} asks for {first} from {day}, set by {by}",
        what=what,
        first=first or _("no quiz"),
        day=day(payload["from_day"]),
        by=by(payload),
    )


def printed(payload: Payload) -> str:
    sheet, code = _(payload["sheet"]), payload["code"]
    words = {
        "print": f"{sheet} {code}",
        "classes": name(payload, "sections", _("the whole shop")),
        "by": by(payload),
    }
    if "machine" in payload:
        words["print"] = _("{sheet} {code} of {machine}", sheet=sheet, code=code, machine=machine(payload))
    if payload.get("replaces"):
        return _("{print} for {classes} by {by}, in place of {replaced}", **words, replaced=payload["replaces"])
    return _("{print} for {classes} by {by}", **words)


PARTS_OF_A_KIND = {
    "name": marked("its name"),
    "stop": marked("how it is stopped"),
    "protect": marked("what is worn"),
    "pre_use": marked("what is checked before use"),
    "demonstration": marked("what a student shows"),
    "tag_out": marked("what puts it out of service"),
    "stop_and_ask": marked("when to stop and ask"),
    "helpers": marked("its helpers"),
    "helper_role": marked("what a helper is called"),
    "helper_cleared": marked("whether a helper is cleared"),
}


def kind_changed(payload: Payload) -> str:
    before, after = payload["before"], payload["after"]
    parts = [_(label) for part, label in PARTS_OF_A_KIND.items() if before.get(part) != after.get(part)]
    return _of_kind(payload, ", ".join(parts))


def _of_kind(payload: Payload, what: str) -> str:
    return _("{machine_type}, {what}, by {by}", machine_type=name(payload, "machine_kind"), what=what, by=by(payload))


def kind_added(payload: Payload) -> str:
    """Those that no one added came with the ready-made banks."""
    machine_type = name(payload, "machine_kind")
    if "by" in payload:
        return _("{machine_type} by {by}", machine_type=machine_type, by=by(payload))
    return _("{machine_type}, with its ready-made bank", machine_type=machine_type)


def demonstration_time(payload: Payload) -> str:
    group = counted(
        "{count} minute and {each} for each student, up to {most} at a time",
        "{count} minutes and {each} for each student, up to {most} at a time",
        count=payload["minutes"],
        each=payload["minutes_each"],
        most=payload["group_size"],
    )
    return _of_kind(payload, group)


def _place(payload: Payload) -> str:
    return machine(payload) if "machine" in payload else name(payload, "shop")


def hazard(payload: Payload) -> str:
    return _(
        "{place}, by {person}: {seen}",
        place=_place(payload),
        person=name(payload, "student", by(payload)),
        seen=_(payload["seen"]),
    )


def reported(payload: Payload) -> str:
    words = f". {payload['words']}" if payload.get("words") else ""
    effect = f" ({_(payload['effect'])})" if payload["effect"] != "flag" else ""
    return f"{hazard(payload)}{effect}{words}"


def report_ended(payload: Payload) -> str:
    finding = f": {payload['found']}" if payload.get("found") else ""
    words = _("{place}, {seen}, by {by}", place=_place(payload), seen=_(payload["seen"]), by=by(payload))
    return f"{words}{finding}"


def inspected(payload: Payload) -> str:
    answers = [line["answer"] for line in payload["answers"]]
    result = _("no line answered no")
    if "no" in answers:
        result = counted("{count} line answered no", "{count} lines answered no", count=answers.count("no"))
    words = _(
        "{machine}, {list}, by {by}, {result}",
        machine=machine(payload),
        list=_(SCOPES[payload["scope"]]),
        by=by(payload),
        result=result,
    )
    if not payload.get("reason"):
        return words
    return _("{words}, instead of the teacher who tagged it out: {reason}", words=words, reason=payload["reason"])


SCOPES = {
    "daily": marked("daily list"),
    "weekly": marked("weekly list"),
    "term": marked("list of the term"),
    "return": marked("whole list before its return to service"),
}


def serviced(payload: Payload) -> str:
    words = _(
        "{machine} on {day} by {person}: {work}",
        machine=machine(payload),
        day=day(payload["day"]),
        person=payload["done_by"],
        work=payload["did"].rstrip("."),
    )
    return _("{words} (parts: {parts})", words=words, parts=payload["parts"]) if payload.get("parts") else words


def list_set(payload: Payload) -> str:
    lines = sum(map(len, payload["lines"].values()))
    return _of_kind(payload, counted("{count} line", "{count} lines", count=lines))


def rule_learned(payload: Payload) -> str:
    return f"{name(payload, 'student')}, {name(payload, 'bank')}: {payload['rule']['says'].rstrip('.')}"


def exported(payload: Payload) -> str:
    student = name(payload, "student")
    return _("{student}, made by {by} as {form}", student=student, by=by(payload), form=payload["form"])


def tagged_out(payload: Payload) -> str:
    return _("{machine} by {by}: {reason}", machine=machine(payload), by=by(payload), reason=payload["reason"])


def returned(payload: Payload) -> str:
    return _("{machine} by {by}: {reason}", machine=machine(payload), by=by(payload), reason=payload["inspection"])


def calendar(payload: Payload) -> str:
    return _("due inspections of {shop}, by {by}", shop=name(payload, "shop"), by=by(payload))


def machine_added(payload: Payload) -> str:
    return _("{machine} into {shop} by {by}", machine=machine(payload), shop=name(payload, "shop"), by=by(payload))


def machine_renamed(payload: Payload) -> str:
    return _("{before} is {machine} now, by {by}", before=payload["before"], machine=machine(payload), by=by(payload))


def machine_retired(payload: Payload) -> str:
    return _("{machine} out of {shop}, by {by}", machine=machine(payload), shop=name(payload, "shop"), by=by(payload))


def machines_set(payload: Payload) -> str:
    return _(
        "{section} uses {machine_types}, by {by}",
        section=name(payload, "section"),
        machine_types=name(payload, "machine_kinds"),
        by=by(payload),
    )


WORDS = {
    "demonstration_time.set": EntryKind(marked("Minutes of a demonstration"), demonstration_time),
    "signoff.made": EntryKind(marked("Sign-off"), signed_off),
    "signoff.undone": EntryKind(marked("Sign-off undone"), undone),
    "signoff.withdrawn": EntryKind(marked("Sign-off withdrawn"), withdrawn),
    "demonstration.not_yet": EntryKind(marked("Not yet"), not_yet),
    "demonstration.not_yet_undone": EntryKind(marked("Not yet undone"), undone),
    "hold.placed": EntryKind(marked("Hold"), held),
    "hold.lifted": EntryKind(marked("Hold lifted"), held),
    "hold.rule_learned": EntryKind(marked("Rule card read and recalled, for a hold"), rule_learned),
    "record.exported": EntryKind(marked("Evidence file"), exported),
    "machine.tagged_out": EntryKind(marked("Tagged out"), tagged_out),
    "report.made": EntryKind(marked("Hazard reported"), reported),
    "report.cleared": EntryKind(marked("Report cleared"), report_ended),
    "report.tagged_out": EntryKind(marked("Report ended by a tag-out"), report_ended),
    "inspection.made": EntryKind(marked("Inspection"), inspected),
    "inspection.list_set": EntryKind(marked("Inspection list"), list_set),
    "machine.serviced": EntryKind(marked("Service"), serviced),
    "calendar.opened": EntryKind(marked("Inspection calendar opened"), calendar),
    "calendar.ended": EntryKind(marked("Inspection calendar ended"), calendar),
    "print.made": EntryKind(marked("Print"), printed),
    "print.taken_down": EntryKind(marked("Print taken down"), printed),
    "requirements.set": EntryKind(marked("Requirements"), asked_for),
    "machine.added": EntryKind(marked("Machine"), machine_added),
    "machine.renamed": EntryKind(marked("Machine changed"), machine_renamed),
    "machine.retired": EntryKind(marked("Machine left"), machine_retired),
    "class.machines_set": EntryKind(marked("Machines of a class"), machines_set),
    "kind.changed": EntryKind(marked("Kind of machine changed"), kind_changed),
    "kind.added": EntryKind(marked("Kind of machine"), kind_added),
    "machine.returned": EntryKind(marked("Returned to service"), returned),
}
