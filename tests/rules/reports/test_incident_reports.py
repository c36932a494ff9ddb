"""What a report still lacks, and how the facts of the moment read."""

from dataclasses import replace

import pytest

from machines.clearance.facts import Standing
from machines.incidents.facts import (
    FactLine,
    Informed,
    MachineThen,
    OwnPart,
    ReportText,
    StudentThen,
    TagOutFact,
    own_of,
    text_of,
)
from machines.incidents.rules.known_words import machine_lines, student_lines
from machines.incidents.rules.missing import missing

WHOLE = ReportText(doing="working on it", words="It jumped.", informed=(Informed("office", "10:46"),))
THUMB = OwnPart("to the nurse", "Left thumb", ("rinsed",))


@pytest.mark.parametrize(
    ("text", "own", "has_machine", "left"),
    [
        (WHOLE, {"": THUMB}, True, []),
        (WHOLE, {"": THUMB}, False, ["Machine"]),
        (replace(WHOLE, no_machine=True), {"": THUMB}, False, []),
        (ReportText(), {}, True, ["Doing what", "What happened", "Who was informed"]),
        (replace(WHOLE, doing="something else"), {}, True, ["Doing what"]),
        (replace(WHOLE, doing="something else", doing_words="Sweeping"), {}, True, []),
        (replace(WHOLE, informed=(), nobody_informed=True), {}, True, []),
        (WHOLE, {"": OwnPart()}, True, ["Hurt"]),
        (WHOLE, {"": OwnPart("no one")}, True, []),
        (WHOLE, {"": OwnPart("a little")}, True, ["Where on the body", "First aid"]),
        (WHOLE, {"": OwnPart("ambulance", "Hand", (), "Tourniquet")}, True, []),
        (WHOLE, {"Ada": THUMB, "Bo": OwnPart()}, True, ["Hurt (Bo)"]),
    ],
)
def test_names_each_part_without_an_answer(
    text: ReportText, own: dict[str, OwnPart], has_machine: bool, left: list[str]
) -> None:
    assert missing(text, own, has_machine=has_machine) == left


def test_stored_report_is_read_unchanged() -> None:
    text = replace(WHOLE, informed=(Informed("nurse"), Informed("office", "09:05")), witness_words="The aide")
    content = text.as_content() | THUMB.as_content()
    assert (text_of(content), own_of(content)) == (text, THUMB)


def test_content_of_an_earlier_form_is_read_without_what_it_did_not_ask() -> None:
    assert text_of({"words": "It jumped."}) == ReportText(words="It jumped.")
    assert own_of({}) == OwnPart()


BEFORE = TagOutFact("October 3, 2026 at 9:00 AM", "Ms Ferrant", "Cord.", "October 5, 2026 by Mr Quarles", "New cord.")


def test_machine_in_service_that_was_never_tagged_out() -> None:
    assert machine_lines(MachineThen("Band saw 2")) == (
        FactLine("Machine", "Band saw 2: in service."),
        FactLine("Tag-outs", "None before."),
    )
    assert machine_lines(None) == ()


def test_machine_that_was_tagged_out_with_what_other_rooms_say() -> None:
    stands = TagOutFact("October 12, 2026 at 11:00 AM", "Ms Ferrant", "Guard loose.")
    more = (FactLine("Last inspection", "October 11, 2026, no fault."),)
    assert machine_lines(MachineThen("Band saw 2", stands, (BEFORE, BEFORE), more)) == (
        FactLine("Machine", "Band saw 2: tagged out since October 12, 2026 at 11:00 AM by Ms Ferrant: Guard loose."),
        FactLine(
            "Tag-outs",
            "2 earlier tag-outs. The last: October 3, 2026 at 9:00 AM, Cord. "
            "Returned to service October 5, 2026 by Mr Quarles: New cord.",
        ),
        *more,
    )


def test_student_with_reasons_or_grounds_and_without_a_machine() -> None:
    why, holds = ("On hold, placed by Ms Ferrant.",), ("Horseplay.", "Misuse.")
    held = StudentThen("band saw 2", Standing.ON_HOLD, why, ("Signed off.",), holds=holds)
    assert student_lines(held) == (
        FactLine("Clearance for band saw 2", "On hold, placed by Ms Ferrant."),
        FactLine("Sign-off", "None on this machine."),
        FactLine("Holds", "Horseplay. Misuse."),
        FactLine("Class", "In no class of this shop."),
    )
    cleared = student_lines(StudentThen("band saw 2", Standing.CLEARED, (), ("Quiz passed.",), "By Ms Ferrant."))
    assert cleared[0].text == "Cleared. Quiz passed."
    untrained = StudentThen("band saw 2", Standing.TRAINING, ("The student takes the quiz.",))
    assert student_lines(untrained)[0].text == "In training. The student takes the quiz."
    assert student_lines(StudentThen())[0].label == "Holds"
    assert student_lines(StudentThen("band saw 2"))[0].text.startswith("Not known")
