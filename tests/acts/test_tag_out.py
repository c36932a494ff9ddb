"""Tagging a machine out, and returning it to service."""

import uuid

from machines.models import TagOut
from machines.tag_outs.acts import return_to_service, tag_out
from shopsafe.logbook.models import Entry
from tests.acts.reading import code_of, last_entry
from tests.factories.machines import NOON, Floor


def out(floor: Floor, **changes: object) -> TagOut:
    asked = {
        "machine": floor.saw_2,
        "reason": "Blade cracked",
        "by": floor.cast.teacher,
        "tap": uuid.uuid4(),
        "at": NOON,
    }
    return tag_out(**(asked | changes))  # type: ignore[arg-type]


def test_goes_out_with_a_reason_and_comes_back_after_an_inspection(floor: Floor) -> None:
    row = out(floor)
    assert last_entry()[0] == "machine.tagged_out"
    back = return_to_service(tag_out=row, inspection="New blade, test cut.", by=floor.cast.colleague, at=NOON)
    assert back.returned_by == floor.cast.colleague
    kind, payload = last_entry()
    assert (kind, payload["inspection"], payload["machine"]["name"]) == (
        "machine.returned",
        "New blade, test cut.",
        "Band saw 2",
    )


def test_second_tag_out_is_refused(floor: Floor) -> None:
    out(floor)
    assert code_of(out, floor, by=floor.cast.colleague) == "tag-out.already"
    assert TagOut.objects.count() == 1


def test_the_same_tap_is_the_same_tag_out(floor: Floor) -> None:
    tap = uuid.uuid4()
    assert out(floor, tap=tap) == out(floor, tap=tap)
    assert code_of(out, floor, tap=tap, machine=floor.saw_3) == "tag-out.tap-used"


def test_words_are_asked_for_both_ways(floor: Floor) -> None:
    assert code_of(out, floor, reason="  ") == "tag-out.no-reason"
    row = out(floor)
    back = {"tag_out": row, "by": floor.cast.teacher, "at": NOON}
    assert code_of(return_to_service, inspection="", **back) == "return.no-inspection"
    return_to_service(inspection="New blade.", **back)
    assert code_of(return_to_service, inspection="New blade.", **back) == "return.already"


def test_nobody_else_may(floor: Floor) -> None:
    row = out(floor)
    for person in floor.cast.not_teachers:
        assert code_of(out, floor, machine=floor.saw_3, by=person) == "access.not-yours", person
        assert code_of(return_to_service, tag_out=row, inspection="x", by=person, at=NOON) == "access.not-yours", person
    assert (TagOut.objects.count(), Entry.objects.count()) == (1, 1)
