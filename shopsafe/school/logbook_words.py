"""What the logbook says of people and classes, in plain words. Pure: from a payload to a sentence."""

from datetime import date, time

from shopsafe.conventions import SHORT_WEEKDAYS, written_day, written_time
from shopsafe.language.messages import _, counted, marked
from shopsafe.logbook.sentences import EntryKind, Payload, by, name

ROLES = {
    "teacher": marked("teacher"),
    "substitute": marked("substitute"),
    "office": marked("office"),
    "student": marked("student"),
}


def day(text: str) -> str:
    """ "September 14, 2026" of 2026-09-14."""
    return written_day(date.fromisoformat(text))


def clock(text: str) -> str:
    """ "10:05 AM" of 10:05."""
    return written_time(time.fromisoformat(text))


def imported(payload: Payload) -> str:
    return counted(
        "{count} student into {section} from {file} by {by}",
        "{count} students into {section} from {file} by {by}",
        count=payload["added"],
        section=name(payload, "section"),
        file=payload.get("file") or _("a pasted list"),
        by=by(payload),
    )


def enrolled(payload: Payload) -> str:
    who = {"student": name(payload, "student"), "section": name(payload, "section"), "by": by(payload)}
    if payload.get("new"):
        return _("{student} into {section} by {by}, new to the school", **who)
    return _("{student} into {section} by {by}", **who)


def moved(payload: Payload) -> str:
    """ "Inga Vale from 9 Teak to 9 Oak, by Ms Ferrant"."""
    before, now = payload["sections"]
    return _(
        "{student} from {before} to {section}, by {by}",
        student=name(payload, "student"),
        before=before["name"],
        section=now["name"],
        by=by(payload),
    )


def number_set(payload: Payload) -> str:
    who = {"student": name(payload, "student"), "number": payload["after"], "by": by(payload)}
    if payload["before"]:
        return _("{student} has the number {number}, was {before}, by {by}", before=payload["before"], **who)
    return _("{student} has the number {number}, by {by}", **who)


def here_today(payload: Payload) -> str:
    here = payload["students"] - payload["away"]
    return _(
        "{section}, {here} of {students} here, saved by {by}",
        section=name(payload, "section"),
        here=here,
        students=payload["students"],
        by=by(payload),
    )


def name_corrected(payload: Payload) -> str:
    """ "Elif is Elif Kaya now, by Ms Ferrant", and which part is which where the whole is the same."""
    before, after = payload["before"], payload["after"]
    if before["name"] == after["name"]:
        return _(
            "{student}: given name {given}, family name {family}, by {by}",
            student=after["name"],
            given=after["given"],
            family=after["family"] or _("none"),
            by=by(payload),
        )
    return _("{before} is {student} now, by {by}", before=before["name"], student=after["name"], by=by(payload))


def locked(payload: Payload, role: str) -> str:
    """ "Inga Vale after wrong codes, on device 3F9A2C"; on every unknown device where several gave them."""
    if payload["locked_on"] == "this device":
        return _("{person} after wrong codes, on device {device}", person=name(payload, role), device=payload["device"])
    return _("{person} after wrong codes, on every device not used before", person=name(payload, role))


def taught(payload: Payload) -> str:
    return _(
        "{section}, taught by {teachers}, by {by}",
        section=name(payload, "section"),
        teachers=teachers_of(payload),
        by=by(payload),
    )


def teachers_of(payload: Payload) -> str:
    return name(payload, "teachers", _("no one yet"))


def days(payload: Payload) -> str:
    return _("{first_day} to {last_day}", first_day=day(payload["first_day"]), last_day=day(payload["last_day"]))


def term_changed(payload: Payload) -> str:
    before = payload["before"]
    return _(
        "{term}, {days}, was {before}, {days_before}, by {by}",
        term=name(payload, "term"),
        days=days(payload),
        before=before["called"],
        days_before=days(before),
        by=by(payload),
    )


def meeting_times(payload: Payload) -> str:
    """ "9 Teak meets Mon, Wed 10:05 to 10:50, by Ms Ferrant". Cycle days are numbered, as the cycle may change."""
    section, times = name(payload, "section"), "; ".join(meeting_time(row) for row in payload["times"])
    if not times:
        return _("{section} has no times, by {by}", section=section, by=by(payload))
    return _("{section} meets {times}, by {by}", section=section, times=times, by=by(payload))


def meeting_time(row: Payload) -> str:
    """ "Mon, Wed 10:05 to 10:50", "every school day, cycle day 1 10:05 to 10:50"."""
    days = ", ".join(_(SHORT_WEEKDAYS[day]) for day in row["weekdays"]) or _("every school day")
    hours = {"begins": clock(row["begins"]), "ends": clock(row["ends"])}
    if row["cycle_days"]:
        cycle_days = ", ".join(str(day + 1) for day in row["cycle_days"])
        return _("{days}, cycle day {cycle_days} {begins} to {ends}", days=days, cycle_days=cycle_days, **hours)
    return _("{days} {begins} to {ends}", days=days, **hours)


def day_cycle(payload: Payload) -> str:
    if not payload["names"]:
        return _("none, by {by}", by=by(payload))
    return _(
        "{names}, {cycle_day} on {day}, by {by}",
        names=", ".join(payload["names"]),
        cycle_day=payload["is"],
        day=day(payload["day"]),
        by=by(payload),
    )


def day_off(payload: Payload) -> str:
    if payload["name_of_day"]:
        return _("{day}, {reason}, by {by}", day=day(payload["day"]), reason=payload["name_of_day"], by=by(payload))
    return _("{day}, by {by}", day=day(payload["day"]), by=by(payload))


def years(number: int | None) -> str:
    return _("no end set") if number is None else counted("{count} year", "{count} years", count=number)


def role(payload: Payload) -> str:
    return _(ROLES.get(payload["role"], str(payload["role"])))


def conventions_set(payload: Payload) -> str:
    if payload["conventions"] == "us":
        return _("the United States way, by {by}", by=by(payload))
    return _("the international way, by {by}", by=by(payload))


def document(payload: Payload) -> dict[str, str]:
    """The document, its student and its date, as sentences name them."""
    return {
        "document": _(payload["document"]["name"]),
        "student": name(payload, "student"),
        "day": day(payload["signed_on"]),
        "by": by(payload),
    }


WORDS = {
    "school.founded": EntryKind(
        marked("School begun"), lambda p: _("{school}, office {office}", school=p["school"], office=name(p, "office"))
    ),
    "term.changed": EntryKind(marked("Term changed"), term_changed),
    "term.added": EntryKind(
        marked("Term"), lambda p: _("{term}, {days}, by {by}", term=name(p, "term"), days=days(p), by=by(p))
    ),
    "shop.added": EntryKind(
        marked("Shop"),
        lambda p: _("{shop}, shared by {teachers}, by {by}", shop=name(p, "shop"), teachers=teachers_of(p), by=by(p)),
    ),
    "shop.teachers_set": EntryKind(
        marked("Teachers of a shop"),
        lambda p: _("{shop}, {teachers}, by {by}", shop=name(p, "shop"), teachers=teachers_of(p), by=by(p)),
    ),
    "section.added": EntryKind(marked("Class"), taught),
    "section.teachers_set": EntryKind(marked("Teachers of a class"), taught),
    "section.renamed": EntryKind(
        marked("Class renamed"),
        lambda p: _("{before} is {section} now, by {by}", before=p["before"], section=name(p, "section"), by=by(p)),
    ),
    "shop.renamed": EntryKind(
        marked("Shop renamed"),
        lambda p: _("{before} is {shop} now, by {by}", before=p["before"], shop=name(p, "shop"), by=by(p)),
    ),
    "staff.password_set": EntryKind(
        marked("New password"), lambda p: _("{person} by {by}", person=name(p, "person"), by=by(p))
    ),
    "staff.access_ended": EntryKind(
        marked("Access ended"),
        lambda p: _("{person}, {role}, by {by}", person=name(p, "person"), role=role(p), by=by(p)),
    ),
    "staff.let_in_again": EntryKind(
        marked("Access restored"),
        lambda p: _("{person}, {role}, by {by}", person=name(p, "person"), role=role(p), by=by(p)),
    ),
    "staff.added": EntryKind(
        marked("Staff"), lambda p: _("{person} as {role} by {by}", person=name(p, "person"), role=role(p), by=by(p))
    ),
    "roster.imported": EntryKind(marked("Class list"), imported),
    "student.enrolled": EntryKind(marked("Enrollment"), enrolled),
    "enrolment.ended": EntryKind(
        marked("Enrollment ended"),
        lambda p: _(
            "{student} leaves {section} after {day}, by {by}",
            student=name(p, "student"),
            section=name(p, "section"),
            day=day(p["until_day"]),
            by=by(p),
        ),
    ),
    "enrolment.kept": EntryKind(
        marked("Stays in the class"),
        lambda p: _(
            "{student} in {section}, was to leave after {day}, by {by}",
            student=name(p, "student"),
            section=name(p, "section"),
            day=day(p["was_until"]),
            by=by(p),
        ),
    ),
    "student.moved": EntryKind(marked("Moved to another class"), moved),
    "class.here_today": EntryKind(marked("Here today"), here_today),
    "student.number_set": EntryKind(marked("Student number"), number_set),
    "accommodation.given": EntryKind(
        marked("Accommodations"),
        lambda p: _(
            "{student}: {given}. Given by {by}",
            student=name(p, "student"),
            given=", ".join(map(_, p["given"])) or _("none from now on"),
            by=by(p),
        ),
    ),
    "slip.issued": EntryKind(
        marked("Sign-in slip"), lambda p: _("{student} by {by}", student=name(p, "student"), by=by(p))
    ),
    "student.name_corrected": EntryKind(marked("Name corrected"), name_corrected),
    "student.locked": EntryKind(marked("Name locked"), lambda p: locked(p, "student")),
    "staff.locked": EntryKind(marked("Name locked for a while"), lambda p: locked(p, "person")),
    "student.let_in": EntryKind(
        marked("Unlocked"), lambda p: _("{student} by {by} after wrong codes", student=name(p, "student"), by=by(p))
    ),
    "idle_minutes.set": EntryKind(
        marked("Signing out after no use"),
        lambda p: _(
            "students after {minutes_student} minutes, staff after {minutes_staff}, by {by}",
            minutes_student=p["minutes_student"],
            minutes_staff=p["minutes_staff"],
            by=by(p),
        ),
    ),
    "conventions.set": EntryKind(
        marked("How dates and times are written"),
        conventions_set,
    ),
    "class.meeting_times_set": EntryKind(marked("Meeting times"), meeting_times),
    "school.day_cycle_set": EntryKind(marked("Day cycle"), day_cycle),
    "school.day_off_added": EntryKind(marked("Day off"), day_off),
    "school.day_off_removed": EntryKind(marked("Day off removed"), day_off),
    "retention.set": EntryKind(
        marked("How long records are kept"),
        lambda p: _(
            "{years} after leaving, {years_after_injury} after an injury, by {by}",
            years=years(p["years"]),
            years_after_injury=years(p["years_after_injury"]),
            by=by(p),
        ),
    ),
    "record.kept": EntryKind(
        marked("Record kept"),
        lambda p: _("{student} by {by}: {reason}", student=name(p, "student"), by=by(p), reason=p["reason"]),
    ),
    "record.let_go": EntryKind(
        marked("Record kept no longer"),
        lambda p: _("{student} by {by}: {reason}", student=name(p, "student"), by=by(p), reason=p["reason"]),
    ),
    "words.set": EntryKind(
        marked("Words of a sheet"),
        lambda p: _("{sheet} of {shop} by {by}", sheet=_(p["sheet"]).lower(), shop=name(p, "shop"), by=by(p)),
    ),
    "document.recorded": EntryKind(
        marked("Document"),
        lambda p: _("{document} of {student}, dated {day}, recorded by {by}", **document(p)),
    ),
    "document.taken_back": EntryKind(
        marked("Document withdrawn"),
        lambda p: _("{document} of {student}, dated {day}, by {by}: {reason}", reason=p["reason"], **document(p)),
    ),
    "agreement.taken_back": EntryKind(
        marked("Safety agreement withdrawn"),
        lambda p: _(
            "{student} for {year}, by {by}: {reason}",
            student=name(p, "student"),
            year=p["year"],
            by=by(p),
            reason=p["reason"],
        ),
    ),
    "agreement.recorded": EntryKind(
        marked("Safety agreement"),
        lambda p: _(
            "{student} for {year}, signed {day}, recorded by {by}",
            student=name(p, "student"),
            year=p["year"],
            day=day(p["signed_on"]),
            by=by(p),
        ),
    ),
}
