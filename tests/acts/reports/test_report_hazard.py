"""A hazard is reported and ended: what keeps a machine off, who may, once for one tap, and what is on record."""

import uuid
from datetime import timedelta
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from machines.clearance.out_of_use import out_of_use
from machines.models import HazardReport, ReportPhoto
from machines.records.acts import erase_student
from machines.reports.hazards.acts import Sighting, clear_report, report_hazard
from machines.reports.hazards.queries import open_reports
from machines.sign_offs.acts import sign_off
from machines.tag_outs.acts import tag_out
from shopsafe.logbook.models import Listing
from shopsafe.logbook.verification.verify import verify
from shopsafe.school.models import Person
from tests.acts.reading import code_of, last_entry
from tests.factories.machines import NOON, POINTS, Floor
from tests.factories.reports.inspections import returned
from tests.factories.reports.photos import phone_photo, place_in, png

MINUTE = timedelta(minutes=1)


def report(floor: Floor, seen: str = "guard", **changes: Any) -> HazardReport:
    sighting = Sighting(seen, changes.pop("words", ""), changes.pop("photo", b""))
    asked = {"shop": floor.cast.shop, "machine": floor.saw_2, "by": floor.cast.student, "tap": uuid.uuid4(), "at": NOON}
    return report_hazard(seen=sighting, **(asked | changes))


def clear(floor: Floor, row: HazardReport, **changes: Any) -> HazardReport:
    asked = {"report": row, "finding": "Screwed on again.", "by": floor.cast.teacher, "at": NOON + MINUTE}
    return clear_report(**(asked | changes))


def reports_agree_with_their_entries() -> bool:
    """The rest of the floor is made by factories, without entries."""
    verdict = verify()
    return not verdict.fault and not [fault for fault in verdict.records if "hazard report" in fault.sentence]


def test_guard_reported_by_a_student_keeps_the_machine_off_until_cleared(floor: Floor) -> None:
    row = report(floor, words=" The left one. ")
    kind, payload = last_entry()
    assert (kind, payload["student"]["id"], payload["words"]) == (
        "report.made",
        floor.cast.student.pk,
        "The left one.",
    )
    off = out_of_use([floor.saw_2.pk, floor.saw_3.pk], NOON)
    assert off.keys() == {floor.saw_2.pk}
    assert off[floor.saw_2.pk].about(floor.saw_2) == "Keep off band saw 2 until the teacher looks."
    assert off[floor.saw_2.pk].by == "", "the class does not learn who reported it"
    clear(floor, row)
    assert last_entry()[0] == "report.cleared"
    assert not out_of_use([floor.saw_2.pk], NOON + MINUTE)
    assert out_of_use([floor.saw_2.pk], NOON), "as it was then"


@pytest.mark.parametrize("seen", ["broken", "abrasive", "cord", "smoke", "will-not-stop"])
def test_hazard_that_may_hurt_at_the_next_use_keeps_the_machine_off(floor: Floor, seen: str) -> None:
    report(floor, seen)
    assert floor.saw_2.pk in out_of_use([floor.saw_2.pk], NOON)


@pytest.mark.parametrize("seen", ["noise", "will-not-start", "floor", "behavior", "other"])
def test_anything_else_only_flags_the_machine(floor: Floor, seen: str) -> None:
    row = report(floor, seen)
    assert not out_of_use([floor.saw_2.pk], NOON)
    assert open_reports(floor.cast.teacher, NOON) == [row]


def test_report_from_elsewhere_in_the_shop_names_no_machine(floor: Floor) -> None:
    row = report(floor, "cord", machine=None)
    assert (row.place, row.keeps_off) == (floor.cast.shop.name, False)
    assert code_of(report, floor, "will-not-stop", machine=None) == "report.unknown-kind"


def test_no_one_is_signed_off_while_a_report_keeps_the_machine_off(floor: Floor) -> None:
    student = floor.cast.student
    floor.make_ready(student)
    row = report(floor)
    signs = {"student": student, "machine": floor.saw_2, "by": floor.cast.teacher, "ticked": POINTS}
    signs |= {"tap": uuid.uuid4(), "at": NOON + MINUTE}
    assert code_of(sign_off, **signs) == "sign-off.kept-off"
    clear(floor, row)
    assert sign_off(**signs).student == student


def test_a_tag_out_ends_the_reports_of_its_machine_alone(floor: Floor) -> None:
    first, second, elsewhere = report(floor), report(floor, "noise"), report(floor, machine=floor.saw_3)
    row = tag_out(machine=floor.saw_2, reason="Guard", by=floor.cast.teacher, tap=uuid.uuid4(), at=NOON + MINUTE)
    ended = set(HazardReport.objects.filter(tag_out=row, ended_by=floor.cast.teacher))
    assert ended == {first, second}
    assert out_of_use([floor.saw_2.pk], NOON + MINUTE)[floor.saw_2.pk].tag_out == row
    assert open_reports(floor.cast.teacher, NOON + MINUTE) == [elsewhere]
    assert code_of(clear, floor, first, at=NOON + 2 * MINUTE) == "report.ended"
    assert reports_agree_with_their_entries()


def test_a_report_after_the_tag_out_outlives_the_return(floor: Floor) -> None:
    row = tag_out(machine=floor.saw_2, reason="Guard", by=floor.cast.teacher, tap=uuid.uuid4(), at=NOON)
    late = report(floor, "cord", at=NOON + MINUTE)
    returned(row, floor.cast.teacher, NOON + 2 * MINUTE)
    assert out_of_use([floor.saw_2.pk], NOON + 2 * MINUTE)[floor.saw_2.pk].report == late


def test_the_same_tap_is_the_same_report(floor: Floor) -> None:
    tap = uuid.uuid4()
    assert report(floor, tap=tap) == report(floor, tap=tap)
    assert HazardReport.objects.count() == 1
    assert code_of(report, floor, "cord", tap=tap) == "report.tap-used"


def test_the_second_of_two_teachers_reads_who_cleared_it(floor: Floor) -> None:
    row = report(floor)
    clear(floor, row)
    with pytest.raises(Exception, match=floor.cast.teacher.name):
        clear(floor, row, by=floor.cast.colleague, finding="Nothing wrong.")
    row.refresh_from_db()
    assert (row.finding, row.ended_by) == ("Screwed on again.", floor.cast.teacher)


def test_clearing_asks_for_words(floor: Floor) -> None:
    assert code_of(clear, floor, report(floor), finding="  ") == "report.no-words"


def test_anyone_of_the_shop_reports_and_no_stranger(floor: Floor) -> None:
    cast = floor.cast
    for person in (cast.student, cast.classmate, cast.teacher, cast.colleague, cast.substitute, cast.office):
        assert report(floor, by=person).by == person
    made = HazardReport.objects.count()
    for person in (cast.other_teacher, cast.stranger_teacher, cast.stranger_student):
        assert code_of(report, floor, by=person) == "access.not-yours", person
    cast.student.enrollments.update(until_day=NOON.date() - timedelta(days=9))
    assert code_of(report, floor) == "access.not-yours", "no longer in a class of this shop"
    assert HazardReport.objects.count() == made


def test_only_a_teacher_of_the_shop_clears(floor: Floor) -> None:
    row, entries = report(floor), Listing.objects.count()
    for person in floor.cast.not_teachers:
        assert code_of(clear, floor, row, by=person) == "access.not-yours", person
    assert Listing.objects.count() == entries


def test_photo_keeps_no_place(floor: Floor) -> None:
    sent = phone_photo()
    assert place_in(sent), "the photo says where it was taken"
    row = report(floor, photo=sent)
    assert place_in(bytes(row.photo.content)) == {}
    assert last_entry()[1]["photo"] == row.photo.digest
    assert code_of(report, floor, photo=b"<svg/>") == "report.photo-unreadable"
    assert HazardReport.objects.count() == 1
    assert reports_agree_with_their_entries()


def test_retired_machine_is_refused(floor: Floor) -> None:
    floor.saw_2.retired_at = NOON
    floor.saw_2.save(update_fields=["retired_at"])
    assert code_of(report, floor) == "report.retired"


@pytest.mark.parametrize(
    "change", [{"machine": None}, {"ended_at": NOON}, {"finding": "Fine"}, {"ended_at": NOON, "ended_by": True}]
)
def test_the_database_refuses_half_a_report(floor: Floor, change: dict[str, Any]) -> None:
    row = {"school": floor.cast.school, "shop": floor.cast.shop, "machine": floor.saw_2, "kind": "guard", "at": NOON}
    row |= {"effect": "keep off until the teacher looks", "by": floor.cast.student} | change
    row |= {"ended_by": floor.cast.teacher} if change.get("ended_by") else {}
    with pytest.raises(IntegrityError), transaction.atomic():
        HazardReport.objects.create(**row)


def leave(student: Person) -> None:
    student.enrollments.update(from_day=NOON.date() - timedelta(days=99), until_day=NOON.date() - timedelta(days=9))


def test_a_student_whose_report_keeps_a_machine_off_is_not_erased_yet(floor: Floor) -> None:
    student, office = floor.cast.student, floor.cast.office
    row = report(floor, photo=png())
    leave(student)
    erasing = {"student": student, "reason": "The family asked.", "by": office, "at": NOON + 2 * MINUTE}
    assert code_of(erase_student, **erasing) == "erase.report"
    clear(floor, row)
    erase_student(**erasing)
    assert not HazardReport.objects.exists()
    assert not ReportPhoto.objects.exists()
    assert reports_agree_with_their_entries()
