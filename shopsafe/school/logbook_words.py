"""What the logbook says of people and classes, in plain words. Pure: from a payload to a sentence."""

from datetime import date, time

from shopsafe.conventions import written_day, written_time
from shopsafe.logbook.sentences import EntryKind, Payload, by, count, name


def day(text: str) -> str:
    """ "September 14, 2026" of 2026-09-14."""
    return written_day(date.fromisoformat(text))


def clock(text: str) -> str:
    """ "10:05 AM" of 10:05."""
    return written_time(time.fromisoformat(text))


def imported(payload: Payload) -> str:
    added = count(payload["added"], "student", "students")
    return f"{added} into {name(payload, 'section')} from {payload.get('file') or 'a pasted list'} by {by(payload)}"


def enrolled(payload: Payload) -> str:
    new = ", new to the school" if payload.get("new") else ""
    return f"{name(payload, 'student')} into {name(payload, 'section')} by {by(payload)}{new}"


def moved(payload: Payload) -> str:
    """ "Inga Vale from 9 Teak to 9 Oak, by Ms Ferrant"."""
    before, now = payload["sections"]
    return f"{name(payload, 'student')} from {before['name']} to {now['name']}, by {by(payload)}"


def number_set(payload: Payload) -> str:
    before = f", was {payload['before']}" if payload["before"] else ""
    return f"{name(payload, 'student')} has the number {payload['after']}{before}, by {by(payload)}"


def here_today(payload: Payload) -> str:
    here = payload["students"] - payload["away"]
    return f"{name(payload, 'section')}, {here} of {payload['students']} here, saved by {by(payload)}"


def name_corrected(payload: Payload) -> str:
    """ "Elif is Elif Kaya now, by Ms Ferrant", and which part is which where the whole is the same."""
    before, after = payload["before"], payload["after"]
    if before["name"] == after["name"]:
        parts = f"given name {after['given']}, family name {after['family'] or 'none'}"
        return f"{after['name']}: {parts}, by {by(payload)}"
    return f"{before['name']} is {after['name']} now, by {by(payload)}"


def locked(payload: Payload, role: str) -> str:
    """ "Inga Vale after wrong codes, on device 3F9A2C"; on every unknown device where several gave them."""
    if payload["locked_on"] == "this device":
        return f"{name(payload, role)} after wrong codes, on device {payload['device']}"
    return f"{name(payload, role)} after wrong codes, on every device not used before"


def taught(payload: Payload) -> str:
    return f"{name(payload, 'section')}, taught by {name(payload, 'teachers', 'nobody yet')}, by {by(payload)}"


def days(payload: Payload) -> str:
    return f"{day(payload['first_day'])} to {day(payload['last_day'])}"


def term_changed(payload: Payload) -> str:
    before = payload["before"]
    return f"{name(payload, 'term')}, {days(payload)}, was {before['called']}, {days(before)}, by {by(payload)}"


WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def meeting_times(payload: Payload) -> str:
    """ "9 Teak meets Mon, Wed 10:05 to 10:50, by Ms Ferrant". Cycle days are numbered, as the cycle may change."""
    lines = []
    for row in payload["times"]:
        days = [WEEKDAYS[day] for day in row["weekdays"]] or ["every school day"]
        of_cycle = f", cycle day {', '.join(str(day + 1) for day in row['cycle_days'])}" if row["cycle_days"] else ""
        lines.append(f"{', '.join(days)}{of_cycle} {clock(row['begins'])} to {clock(row['ends'])}")
    return f"{name(payload, 'section')} {'meets ' + '; '.join(lines) if lines else 'has no times'}, by {by(payload)}"


def day_cycle(payload: Payload) -> str:
    if not payload["names"]:
        return f"none, by {by(payload)}"
    return f"{', '.join(payload['names'])}, {payload['is']} on {day(payload['day'])}, by {by(payload)}"


def day_off(payload: Payload) -> str:
    reason = f", {payload['name_of_day']}" if payload["name_of_day"] else ""
    return f"{day(payload['day'])}{reason}, by {by(payload)}"


def years(number: int | None) -> str:
    return "no end set" if number is None else count(number, "year", "years")


WORDS = {
    "school.founded": EntryKind("School begun", lambda p: f"{p['school']}, office {name(p, 'office')}"),
    "term.changed": EntryKind("Term changed", term_changed),
    "term.added": EntryKind("Term", lambda p: f"{name(p, 'term')}, {days(p)}, by {by(p)}"),
    "shop.added": EntryKind(
        "Shop", lambda p: f"{name(p, 'shop')}, shared by {name(p, 'teachers', 'nobody yet')}, by {by(p)}"
    ),
    "shop.teachers_set": EntryKind(
        "Teachers of a shop", lambda p: f"{name(p, 'shop')}, {name(p, 'teachers', 'nobody yet')}, by {by(p)}"
    ),
    "section.added": EntryKind("Class", taught),
    "section.teachers_set": EntryKind("Teachers of a class", taught),
    "section.renamed": EntryKind("Class renamed", lambda p: f"{p['before']} is {name(p, 'section')} now, by {by(p)}"),
    "shop.renamed": EntryKind("Shop renamed", lambda p: f"{p['before']} is {name(p, 'shop')} now, by {by(p)}"),
    "staff.password_set": EntryKind("New password", lambda p: f"{name(p, 'person')} by {by(p)}"),
    "staff.access_ended": EntryKind("Access ended", lambda p: f"{name(p, 'person')}, {p['role']}, by {by(p)}"),
    "staff.let_in_again": EntryKind("Let in again", lambda p: f"{name(p, 'person')}, {p['role']}, by {by(p)}"),
    "staff.added": EntryKind("Staff", lambda p: f"{name(p, 'person')} as {p['role']} by {by(p)}"),
    "roster.imported": EntryKind("Class list", imported),
    "student.enrolled": EntryKind("Enrollment", enrolled),
    "enrolment.ended": EntryKind(
        "Enrollment ended",
        lambda p: f"{name(p, 'student')} leaves {name(p, 'section')} after {day(p['until_day'])}, by {by(p)}",
    ),
    "enrolment.kept": EntryKind(
        "Stays in the class",
        lambda p: f"{name(p, 'student')} in {name(p, 'section')}, was to leave after {day(p['was_until'])}, by {by(p)}",
    ),
    "student.moved": EntryKind("Moved to another class", moved),
    "class.here_today": EntryKind("Here today", here_today),
    "student.number_set": EntryKind("Student number", number_set),
    "accommodation.given": EntryKind(
        "Accommodations",
        lambda p: f"{name(p, 'student')}: {', '.join(p['given']) or 'none from now on'}. Given by {by(p)}",
    ),
    "slip.issued": EntryKind("Sign-in slip", lambda p: f"{name(p, 'student')} by {by(p)}"),
    "student.name_corrected": EntryKind("Name corrected", name_corrected),
    "student.locked": EntryKind("Name locked", lambda p: locked(p, "student")),
    "staff.locked": EntryKind("Name locked for a while", lambda p: locked(p, "person")),
    "student.let_in": EntryKind("Let in", lambda p: f"{name(p, 'student')} by {by(p)} after wrong codes"),
    "idle_minutes.set": EntryKind(
        "Signing out after no use",
        lambda p: f"students after {p['minutes_student']} minutes, staff after {p['minutes_staff']}, by {by(p)}",
    ),
    "conventions.set": EntryKind(
        "How dates and times are written",
        lambda p: f"{'the United States way' if p['conventions'] == 'us' else 'the international way'}, by {by(p)}",
    ),
    "class.meeting_times_set": EntryKind("Meeting times", meeting_times),
    "school.day_cycle_set": EntryKind("Day cycle", day_cycle),
    "school.day_off_added": EntryKind("Day off", day_off),
    "school.day_off_removed": EntryKind("Day off removed", day_off),
    "retention.set": EntryKind(
        "How long records are kept",
        lambda p: f"{years(p['years'])} after leaving, {years(p['years_after_injury'])} after an injury, by {by(p)}",
    ),
    "record.kept": EntryKind("Record kept", lambda p: f"{name(p, 'student')} by {by(p)}: {p['reason']}"),
    "record.let_go": EntryKind("Record kept no longer", lambda p: f"{name(p, 'student')} by {by(p)}: {p['reason']}"),
    "words.set": EntryKind("Words of a sheet", lambda p: f"{p['sheet'].lower()} of {name(p, 'shop')} by {by(p)}"),
    "document.recorded": EntryKind(
        "Document",
        lambda p: f"{p['document']['name']} of {name(p, 'student')}, dated {day(p['signed_on'])}, recorded by {by(p)}",
    ),
    "document.taken_back": EntryKind(
        "Document withdrawn",
        lambda p: (
            f"{p['document']['name']} of {name(p, 'student')}, dated {day(p['signed_on'])}, by {by(p)}: {p['reason']}"
        ),
    ),
    "agreement.taken_back": EntryKind(
        "Safety agreement withdrawn", lambda p: f"{name(p, 'student')} for {p['year']}, by {by(p)}: {p['reason']}"
    ),
    "agreement.recorded": EntryKind(
        "Safety agreement",
        lambda p: f"{name(p, 'student')} for {p['year']}, signed {day(p['signed_on'])}, recorded by {by(p)}",
    ),
}
