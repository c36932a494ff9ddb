"""A calendar feed as text, by RFC 5545 (iCalendar): whole-day entries that any calendar program can subscribe to.

A feed names machines and lists, never students: its address is the only thing that protects it.
"""

from collections.abc import Iterable, Iterator
from datetime import UTC, datetime, timedelta

from machines.reports.facts import INTERVAL_WORDS, CalendarEntry, InspectionDue, Interval
from shopsafe.language.messages import _

PRODUCT = "-//shopsafe//inspections//EN"
LINE_OCTETS = 75  # RFC 5545 section 3.1, without the line break
NEW_LINE = "\r\n"


def calendar_feed(name: str, entries: Iterable[CalendarEntry], made_at: datetime) -> str:
    """The text of the feed. `made_at` is aware. Raises ValueError if two entries have one uid."""
    events = list(entries)
    if len({entry.uid for entry in events}) < len(events):
        raise ValueError("two entries of a calendar have the same uid")
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:{PRODUCT}", "CALSCALE:GREGORIAN"]
    # NAME is RFC 7986; programs older than that read the other property.
    lines += [f"NAME:{escaped(name)}", f"X-WR-CALNAME:{escaped(name)}"]
    for entry in events:
        lines += _event(entry, made_at)
    if not events:
        lines += _no_event()
    lines.append("END:VCALENDAR")
    return "".join(f"{part}{NEW_LINE}" for line in lines for part in folded(line))


def inspection_entry(
    machine: int, name: str, interval: Interval, due: InspectionDue, host: str
) -> CalendarEntry | None:
    """The entry for the next inspection of a machine; None while none is to come. `host` makes the uid unique."""
    if due.first_day is None or due.due_by is None:
        return None
    return CalendarEntry(
        uid=f"inspection-{machine}-{interval}-{due.due_by:%Y%m%d}@{host}",
        day=due.first_day,
        last_day=due.due_by,
        title=_("Inspect {machine} ({interval})", machine=name, interval=_(INTERVAL_WORDS[interval])),
    )


def _event(entry: CalendarEntry, made_at: datetime) -> Iterator[str]:
    # The end is the first day that no longer belongs to the entry (section 3.6.1).
    end = (entry.last_day or entry.day) + timedelta(days=1)
    yield "BEGIN:VEVENT"
    yield f"UID:{escaped(entry.uid)}"
    yield f"DTSTAMP:{made_at.astimezone(UTC):%Y%m%dT%H%M%SZ}"
    yield f"DTSTART;VALUE=DATE:{entry.day:%Y%m%d}"
    yield f"DTEND;VALUE=DATE:{end:%Y%m%d}"
    yield f"SUMMARY:{escaped(entry.title)}"
    if entry.text:
        yield f"DESCRIPTION:{escaped(entry.text)}"
    yield "TRANSP:TRANSPARENT"  # a due day does not make anyone busy
    yield "END:VEVENT"


def _no_event() -> list[str]:
    """A calendar holds at least one component (section 3.6); a time zone says nothing and does no harm."""
    standard = ["BEGIN:STANDARD", "DTSTART:19700101T000000", "TZOFFSETFROM:+0000", "TZOFFSETTO:+0000", "END:STANDARD"]
    return ["BEGIN:VTIMEZONE", "TZID:Etc/UTC", *standard, "END:VTIMEZONE"]


def escaped(text: str) -> str:
    """A text value (section 3.3.11): no control characters; backslash, semicolon, comma and line break escaped."""
    text = "\n".join(text.splitlines())
    text = "".join(character for character in text if character in "\n\t" or not _is_control(character))
    for character, written in (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\n", "\\n")):
        text = text.replace(character, written)
    return text


def _is_control(character: str) -> bool:
    return ord(character) < 32 or ord(character) == 127


def folded(line: str) -> Iterator[str]:
    """The line in parts of at most 75 octets, each after the first led by a space (section 3.1). No letter is cut."""
    part, octets = "", 0
    for character in line:
        size = len(character.encode())
        if octets + size > LINE_OCTETS:
            yield part
            part, octets = " ", 1
        part, octets = part + character, octets + size
    yield part
