"""The calendar feed, read back by a parser that is not ours, and held against the grammar of RFC 5545."""

import re
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar

from machines.reports.facts import CalendarEntry, DueState, InspectionDue, Interval
from machines.reports.rules.calendar_feed import calendar_feed, escaped, folded, inspection_entry

MADE_AT = datetime(2026, 11, 9, 10, 42, 8, tzinfo=ZoneInfo("America/Chicago"))
ENTRY = CalendarEntry("inspection-3@shop.example", date(2026, 11, 9), "Inspect band saw 3 (weekly)", "By Friday.")


def parsed(text: str) -> list:
    calendar = Calendar.from_ical(text)
    assert not calendar.errors
    assert (calendar["VERSION"], calendar["PRODID"]) == ("2.0", "-//shopsafe//inspections//EN")
    return calendar.walk("VEVENT")


def test_entry_reads_back_as_it_was():
    (event,) = parsed(calendar_feed("Inspections, room W2", [ENTRY], MADE_AT))
    assert event["UID"] == ENTRY.uid
    assert event["SUMMARY"] == ENTRY.title
    assert event["DESCRIPTION"] == "By Friday."
    assert event.decoded("DTSTART") == date(2026, 11, 9)
    assert event.decoded("DTEND") == date(2026, 11, 10)
    assert event.decoded("DTSTAMP") == datetime(2026, 11, 9, 16, 42, 8, tzinfo=UTC)
    assert event["TRANSP"] == "TRANSPARENT"
    assert not event.errors


def test_feed_is_this_text():
    assert calendar_feed("Inspections, room W2", [ENTRY], MADE_AT).split("\r\n") == [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//shopsafe//inspections//EN",
        "CALSCALE:GREGORIAN",
        "NAME:Inspections\\, room W2",
        "X-WR-CALNAME:Inspections\\, room W2",
        "BEGIN:VEVENT",
        "UID:inspection-3@shop.example",
        "DTSTAMP:20261109T164208Z",
        "DTSTART;VALUE=DATE:20261109",
        "DTEND;VALUE=DATE:20261110",
        "SUMMARY:Inspect band saw 3 (weekly)",
        "DESCRIPTION:By Friday.",
        "TRANSP:TRANSPARENT",
        "END:VEVENT",
        "END:VCALENDAR",
        "",
    ]


def test_entry_of_several_days_ends_after_its_last():
    entry = CalendarEntry("a@x", date(2026, 12, 28), "t", last_day=date(2027, 1, 2))
    (event,) = parsed(calendar_feed("Shop", [entry], MADE_AT))
    assert event.decoded("DTEND") == date(2027, 1, 3)


def test_feed_without_entries_is_still_a_calendar_with_a_component():
    calendar = Calendar.from_ical(calendar_feed("Shop", [], MADE_AT))
    (zone,) = calendar.subcomponents
    assert (zone.name, zone["TZID"]) == ("VTIMEZONE", "Etc/UTC")
    (standard,) = zone.subcomponents
    assert standard.name == "STANDARD"
    assert standard.decoded("DTSTART") == datetime(1970, 1, 1)
    assert standard["TZOFFSETFROM"].to_ical() == standard["TZOFFSETTO"].to_ical() == "+0000"
    assert not calendar.errors


@pytest.mark.parametrize(
    ("octets", "parts"),
    [(0, [0]), (74, [74]), (75, [75]), (76, [75, 2]), (149, [75, 75]), (150, [75, 75, 2])],
)
def test_line_is_folded_at_75_octets_with_a_leading_space(octets, parts):
    assert [len(part) for part in folded("x" * octets)] == parts
    assert all(part[0] == " " for part in list(folded("x" * octets))[1:])


def test_fold_comes_before_a_letter_of_several_octets():
    # 74 octets and a letter of three: the letter moves to the next line whole.
    assert list(folded("x" * 74 + "漢")) == ["x" * 74, " 漢"]
    assert list(folded("漢" * 26)) == ["漢" * 25, " 漢"]


def test_text_is_escaped_as_the_standard_asks():
    assert escaped('a;b,c\\d\te\r\nf\x07g: "h"') == 'a\\;b\\,c\\\\d\te\\nfg: "h"'


def test_two_entries_with_one_uid_are_refused():
    with pytest.raises(ValueError, match="same uid"):
        calendar_feed("Shop", [ENTRY, ENTRY], MADE_AT)


def test_inspection_entry_spans_the_days_in_which_it_is_due():
    due = InspectionDue(DueState.DUE, date(2026, 11, 23), date(2026, 11, 25))
    entry = inspection_entry(3, "band saw 3", Interval.WEEKLY, due, "shop.example")
    assert entry == CalendarEntry(
        "inspection-3-weekly-20261125@shop.example",
        date(2026, 11, 23),
        "Inspect band saw 3 (weekly)",
        last_day=date(2026, 11, 25),
    )
    titles = {interval: inspection_entry(3, "band saw 3", interval, due, "shop.example").title for interval in Interval}
    assert titles == {
        Interval.DAILY: "Inspect band saw 3 (daily)",
        Interval.WEEKLY: "Inspect band saw 3 (weekly)",
        Interval.TERM: "Inspect band saw 3 (each term)",
    }
    assert inspection_entry(3, "band saw 3", Interval.TERM, InspectionDue(DueState.NOT_DUE), "shop.example") is None


any_text = st.text(st.characters(exclude_categories=["Cs"]), max_size=200)
hard_text = st.text(st.sampled_from("a,;\\n:\"'\r\n\t \x00\x1b\x7f\x85\u2028Łé漢😀"), max_size=120)


@given(st.lists(st.tuples(any_text | hard_text, any_text | hard_text), max_size=4), any_text | hard_text)
def test_any_text_reads_back_without_its_control_characters(texts, name):
    entries = [
        CalendarEntry(f"{place}@x", date(2026, 11, 9) + timedelta(days=place), title, text)
        for place, (title, text) in enumerate(texts)
    ]
    feed = calendar_feed(name, entries, MADE_AT)
    events = parsed(feed)
    assert len(events) == len(entries)
    for event, entry in zip(events, entries, strict=True):
        assert str(event["SUMMARY"]) == plain(entry.title)
        assert str(event.get("DESCRIPTION", "")) == plain(entry.text)
    for line in feed.split("\r\n"):
        assert len(line.encode()) <= 75
        assert not any(ord(character) < 32 and character != "\t" for character in line)


def plain(text: str) -> str:
    """The text with one kind of line break, and without the control characters that a calendar may not hold."""
    text = "\n".join(text.splitlines())
    return re.sub(r"[\x00-\x08\x0b-\x1f\x7f]", "", text)


@given(any_text)
def test_folded_line_unfolds_to_itself_and_cuts_no_letter(text):
    line = text.replace("\r", "").replace("\n", "")
    parts = list(folded(line))
    assert parts[0] + "".join(part[1:] for part in parts[1:]) == line
    assert all(part[0] == " " for part in parts[1:])
    assert all(len(part.encode()) <= 75 for part in parts)
