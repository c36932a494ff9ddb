"""Entries of the logbook with the sentence that each says: locks, idle time, corrected keys and figures."""

from typing import Any

STUDENT, BY = {"id": 7, "name": "A. Kaya"}, {"id": 1, "name": "Ms Ferrant"}
BANK = {"id": 3, "name": "Band saw"}
CLASS = {"id": 4, "name": "Period 3"}
KIND = {"id": 8, "name": "Scroll saw"}
SAW, SHOP = {"id": 2, "name": "Band saw 2"}, {"id": 6, "name": "Room W"}
GUARD = "A guard or cover is missing, loose or open"
EDITION = {"id": 9, "name": "2"}
FIT = {"code": "fit-record", "name": "fit record"}

MORE_CASES: list[tuple[str, dict[str, Any], str]] = [
    (
        "demonstration_time.set",
        {"by": BY, "machine_kind": {"id": 4, "name": "Band saw"}, "minutes": 4, "minutes_each": 2, "group_size": 6},
        "Minutes of a demonstration: Band saw, 4 minutes and 2 for each student, up to 6 at a time, by Ms Ferrant",
    ),
    (
        "student.locked",
        {"student": STUDENT, "locked_on": "this device", "device": "3F9A2C"},
        "Name locked: A. Kaya after wrong codes, on device 3F9A2C",
    ),
    (
        "student.number_set",
        {"by": BY, "student": STUDENT, "section": {"id": 2, "name": "9 Teak"}, "before": "", "after": "1001"},
        "Student number: A. Kaya has the number 1001, by Ms Ferrant",
    ),
    (
        "class.here_today",
        {"by": BY, "section": {"id": 2, "name": "9 Teak"}, "day": "2026-11-27", "away": 1, "students": 24},
        "Here today: 9 Teak, 23 of 24 here, saved by Ms Ferrant",
    ),
    (
        "staff.locked",
        {"person": BY, "locked_on": "other devices", "device": "3F9A2C"},
        "Name locked for a while: Ms Ferrant after wrong codes, on every device not used before",
    ),
    (
        "idle_minutes.set",
        {"by": BY, "minutes_student": 10, "minutes_staff": 30},
        "Signing out after no use: students after 10 minutes, staff after 30, by Ms Ferrant",
    ),
    (
        "conventions.set",
        {"by": BY, "conventions": "international"},
        "How dates and times are written: the international way, by Ms Ferrant",
    ),
    (
        "key.corrected",
        {
            "bank": BANK, "edition": EDITION, "by": BY, "asks": "Where do the fingers stay?", "before": "On top",
            "after": "Beside the cut", "reason": "Typed wrong.", "gains": 2,
        },
        "Key corrected: Band saw: Where do the fingers stay? from “On top” to “Beside the cut”, by Ms Ferrant: "
        "Typed wrong. 2 students passed by it",
    ),
    (
        "bank.reviewed",
        {
            "bank": BANK, "edition": EDITION, "by": BY, "review": 4, "reviewer": "Ro Marsh", "role": "safety officer",
            "reviewed_on": "2026-11-30",
        },
        "Rules reviewed: Band saw, edition 2, Ro Marsh (safety officer) on 2026-11-30, recorded by Ms Ferrant",
    ),
    (
        "bank.review_withdrawn",
        {
            "bank": BANK, "edition": EDITION, "by": BY, "review": 4, "reviewer": "Ro Marsh", "role": "safety officer",
            "reviewed_on": "2026-11-30", "reason": "Typed for the wrong bank.",
        },
        "Review withdrawn: Band saw, edition 2, Ro Marsh (safety officer) on 2026-11-30, recorded by Ms Ferrant: "
        "Typed for the wrong bank",
    ),
    (
        "attempt.regraded",
        {"student": STUDENT, "bank": BANK, "edition": EDITION, "by": BY, "first_graded": {"correct": 9, "asked": 10}},
        "Attempt graded again: A. Kaya in the Band saw quiz, edition 2, first 9 of 10 right, now all, "
        "by a key that Ms Ferrant corrected",
    ),
    (
        "demonstration.not_yet",
        {
            "student": STUDENT, "machine": {"id": 2, "name": "Band saw 2"}, "by": BY, "again": ["Sets the guard"],
            "not_shown": [], "note": "",
        },
        "Not yet: A. Kaya on band saw 2 by Ms Ferrant, 1 point to show again",
    ),
    (
        "demonstration.not_yet_undone",
        {"student": STUDENT, "machine": {"id": 2, "name": "Band saw 2"}, "by": BY},
        "Not yet undone: A. Kaya on band saw 2 by Ms Ferrant, within ten minutes",
    ),
    (
        "class.machines_set",
        {"section": {"id": 2, "name": "9 Teak"}, "machine_kinds": [{"id": 1, "name": "Band saw"}], "by": BY},
        "Machines of a class: 9 Teak uses Band saw, by Ms Ferrant",
    ),
    (
        "class.meeting_times_set",
        {
            "section": {"id": 2, "name": "9 Teak"}, "by": BY,
            "times": [{"begins": "10:05", "ends": "10:50", "weekdays": [0, 2], "cycle_days": [1]}],
        },
        "Meeting times: 9 Teak meets Mon, Wed, cycle day 2 10:05 AM to 10:50 AM, by Ms Ferrant",
    ),
    (
        "class.meeting_times_set",
        {"section": {"id": 2, "name": "9 Teak"}, "by": BY, "times": []},
        "Meeting times: 9 Teak has no times, by Ms Ferrant",
    ),
    (
        "school.day_cycle_set",
        {"names": ["A", "B"], "unit": "day", "day": "2026-09-08", "is": "B", "by": BY},
        "Day cycle: A, B, B on September 8, 2026, by Ms Ferrant",
    ),
    ("school.day_cycle_set", {"names": [], "by": BY}, "Day cycle: none, by Ms Ferrant"),
    (
        "school.day_off_added",
        {"day": "2026-11-26", "name_of_day": "Thanksgiving", "by": BY},
        "Day off: November 26, 2026, Thanksgiving, by Ms Ferrant",
    ),
    (
        "school.day_off_removed",
        {"day": "2026-11-26", "name_of_day": "", "by": BY},
        "Day off removed: November 26, 2026, by Ms Ferrant",
    ),
    (
        "document.recorded",
        {"student": STUDENT, "by": BY, "document": FIT, "year": 2026, "signed_on": "2026-09-01"},
        "Document: fit record of A. Kaya, dated September 1, 2026, recorded by Ms Ferrant",
    ),
    (
        "document.taken_back",
        {"student": STUDENT, "by": BY, "document": FIT, "year": 2026, "signed_on": "2026-09-01", "reason": "Hers."},
        "Document withdrawn: fit record of A. Kaya, dated September 1, 2026, by Ms Ferrant: Hers",
    ),
    (
        "figures.added",
        {"bank": BANK, "by": BY, "file": "0" * 64, "students": 40},
        "Figures added: Band saw, 40 first tries, by Ms Ferrant",
    ),
    (
        "report.made",
        {
            "report": 1, "student": STUDENT, "machine": SAW, "shop": SHOP, "seen": GUARD, "words": "The left one.",
            "effect": "keep off until the teacher looks",
        },
        f"Hazard reported: band saw 2, by A. Kaya: {GUARD} (keep off until the teacher looks). The left one",
    ),
    (
        "report.made",
        {"report": 1, "by": BY, "shop": SHOP, "seen": "Something on the floor", "words": "", "effect": "flag"},
        "Hazard reported: Room W, by Ms Ferrant: Something on the floor",
    ),
    (
        "report.cleared",
        {"report": 1, "by": BY, "student": STUDENT, "machine": SAW, "seen": GUARD, "found": "Screwed on."},
        f"Report cleared: band saw 2, {GUARD}, by Ms Ferrant: Screwed on",
    ),
    (
        "report.tagged_out",
        {"report": 1, "by": BY, "machine": SAW, "shop": SHOP, "seen": GUARD, "tag_out": 3},
        f"Report ended by a tag-out: band saw 2, {GUARD}, by Ms Ferrant",
    ),
    (
        "inspection.made",
        {"inspection": 4, "machine": SAW, "by": BY, "scope": "weekly", "answers": [{"answer": "yes"}], "reason": ""},
        "Inspection: band saw 2, weekly list, by Ms Ferrant, no line answered no",
    ),
    (
        "inspection.made",
        {
            "inspection": 4, "machine": SAW, "by": BY, "scope": "daily", "reason": "",
            "answers": [{"answer": "no"}, {"answer": "doesn't apply"}, {"answer": "no"}],
        },
        "Inspection: band saw 2, daily list, by Ms Ferrant, 2 lines answered no",
    ),
    (
        "inspection.made",
        {"inspection": 4, "machine": SAW, "by": BY, "scope": "return", "answers": [], "reason": "Away today."},
        "Inspection: band saw 2, whole list before its return to service, by Ms Ferrant, no line answered no, "
        "instead of the teacher who tagged it out: Away today",
    ),
    (
        "inspection.list_set",
        {"list": 2, "machine_kind": KIND, "by": BY, "lines": {"daily": [{}], "weekly": [{}, {}], "term": []}},
        "Inspection list: Scroll saw, 3 lines, by Ms Ferrant",
    ),
    (
        "machine.serviced",
        {
            "service": 1, "machine": SAW, "by": BY, "day": "2026-10-12", "did": "Blade changed.",
            "done_by": "Saw Service Co.", "parts": "Blade 1/2 in",
        },
        "Service: band saw 2 on October 12, 2026 by Saw Service Co.: Blade changed (parts: Blade 1/2 in)",
    ),
    (
        "calendar.opened",
        {"calendar": 1, "shop": SHOP, "by": BY},
        "Inspection calendar opened: due inspections of Room W, by Ms Ferrant",
    ),
    (
        "calendar.ended",
        {"calendar": 1, "shop": SHOP, "by": BY},
        "Inspection calendar ended: due inspections of Room W, by Ms Ferrant",
    ),
    (
        "enrolment.kept",
        {"student": STUDENT, "section": CLASS, "was_until": "2026-10-12", "by": BY},
        "Stays in the class: A. Kaya in Period 3, was to leave after October 12, 2026, by Ms Ferrant",
    ),
    (
        "student.moved",
        {"student": STUDENT, "sections": [CLASS, {"id": 9, "name": "Period 5"}], "from_day": "2026-10-12", "by": BY},
        "Moved to another class: A. Kaya from Period 3 to Period 5, by Ms Ferrant",
    ),
    (
        "shop.teachers_set",
        {"shop": SHOP, "teachers": [BY], "by": BY},
        "Teachers of a shop: Room W, Ms Ferrant, by Ms Ferrant",
    ),
    (
        "enrolment.ended",
        {"student": STUDENT, "section": CLASS, "until_day": "2026-10-12", "by": BY},
        "Enrollment ended: A. Kaya leaves Period 3 after October 12, 2026, by Ms Ferrant",
    ),
]  # fmt: skip
