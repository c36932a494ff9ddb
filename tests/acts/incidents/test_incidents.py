"""Reports of incidents: begun with the facts of the moment, completed by versions, read by few, kept from changes."""

from datetime import date, timedelta
from io import BytesIO
from typing import Any
from uuid import uuid4

from django.utils import timezone
from PIL import Image

from machines.holds.acts import place_hold
from machines.incidents.acts.follow_ups import add_follow_up, finish_follow_up
from machines.incidents.acts.hand_over import note_hand_over
from machines.incidents.acts.photos import add_photo
from machines.incidents.acts.reports import KEPT_OFF, open_incident, write_report
from machines.incidents.acts.settings import set_incident_settings
from machines.incidents.facts import OwnPart, ReportText
from machines.incidents.queries import incidents_for, lines_for, open_incidents, report_now, versions_of
from machines.models import FollowUp, Incident, IncidentAccount, IncidentVersion, PhotoFile, SignOff, TagOut
from machines.records import logbook_search
from machines.records.acts import erase_student
from machines.tag_outs.acts import tag_out
from shopsafe.logbook.models import Listing
from shopsafe.school.models import Person
from shopsafe.school.people.acts.moves import end_enrollment
from shopsafe.school.retention.acts import set_retention
from tests.acts.incidents.test_incident_forgeries import wrong
from tests.acts.reading import code_of, entries, last_entry
from tests.factories.machines import NOON, Floor
from tests.factories.people import EnrollmentFactory, PersonFactory, SectionFactory
from tests.factories.reports.incidents import THUMB, WHOLE, begun, hurt_at_saw, photo_of
from tests.factories.reports.inspections import returned

HOUR = timedelta(hours=1)


def lines_of(known: dict[str, Any]) -> dict[str, str]:
    return {line["label"]: line["text"] for line in known["lines"]}


def goes_on(floor: Floor, incident: Incident, seen: int = 1, **changes: Any) -> IncidentVersion:
    asked: dict[str, Any] = {"by": floor.cast.teacher, "tap": uuid4(), "at": NOON + HOUR}
    asked |= {name: changes.pop(name) for name in ("by", "tap", "at") if name in changes}
    return write_report(incident=incident, report=hurt_at_saw(floor, **changes), seen=seen, **asked)


class TestBegins:
    def test_report_needs_only_the_person(self, floor: Floor) -> None:
        incident = begun(floor, machine=None, text=ReportText(), own=None)
        report = report_now(incident, floor.cast.teacher)
        assert (report.concerned, report.version.number) == ([floor.cast.student], 1)
        assert not report.version.is_complete

    def test_report_names_no_student_only_where_no_one_was_hurt(self, floor: Floor) -> None:
        assert code_of(begun, floor, concerned=[]) == "incident.no-one"
        begun(floor, concerned=[], sort="near-miss")
        begun(floor, concerned=[], text=ReportText(other_person="A visitor"))

    def test_and_keeps_the_machine_off(self, floor: Floor) -> None:
        begun(floor)
        [row] = TagOut.objects.all()
        assert (row.machine, row.reason, row.returned_at) == (floor.saw_2, KEPT_OFF, None)
        assert Listing.objects.get(entry=row.entry_id).kind == "machine.tagged_out"

    def test_and_leaves_a_machine_that_is_tagged_out_already(self, floor: Floor) -> None:
        tag_out(machine=floor.saw_2, reason="Cord", by=floor.cast.colleague, tap=uuid4(), at=NOON - HOUR)
        begun(floor)
        assert TagOut.objects.get().reason == "Cord"

    def test_and_takes_a_near_miss_without_a_tag_out_unless_asked(self, floor: Floor) -> None:
        begun(floor, sort="near-miss")
        assert not TagOut.objects.exists()
        begun(floor, sort="misuse", keep_off=True)
        assert TagOut.objects.count() == 1

    def test_once_for_one_tap(self, floor: Floor) -> None:
        tap, shop, teacher = uuid4(), floor.cast.shop, floor.cast.teacher
        asked: dict[str, Any] = {"shop": shop, "by": teacher, "tap": tap, "at": NOON}
        first = open_incident(report=hurt_at_saw(floor), **asked)
        assert open_incident(report=hurt_at_saw(floor), **asked) == first
        assert code_of(open_incident, report=hurt_at_saw(floor, machine=None), **asked) == "incident.tap-used"
        assert Incident.objects.count() == 1

    def test_not_in_the_future_and_at_no_foreign_machine(self, floor: Floor) -> None:
        assert code_of(begun, floor, happened_at=NOON + HOUR) == "incident.in-future"
        assert code_of(begun, floor, machine=floor.far_saw) == "incident.other-shop"
        assert code_of(begun, floor, concerned=[floor.cast.stranger_student]) == "incident.not-yours"
        assert code_of(begun, floor, witnesses=[floor.cast.stranger_student]) == "incident.not-yours"
        assert not Incident.objects.exists()

    def test_removed_student_is_refused_and_the_report_not_lost_in_a_404(self, floor: Floor) -> None:
        gone = PersonFactory(school=floor.cast.school)
        incident, pk = begun(floor), gone.pk
        gone.delete()
        gone.pk = pk  # as the page had found the student
        asked: dict[str, Any] = {"by": floor.cast.teacher, "tap": uuid4(), "at": NOON}
        for report in (hurt_at_saw(floor, concerned=[gone]), hurt_at_saw(floor, witnesses=[gone])):
            assert code_of(open_incident, shop=floor.cast.shop, report=report, **asked) == "incident.removed"
            assert code_of(write_report, incident=incident, report=report, seen=1, **asked) == "incident.removed"

    def test_complete_only_with_everything_filled_in(self, floor: Floor) -> None:
        assert code_of(begun, floor, wants_complete=True, text=ReportText()) == "incident.not-complete"
        assert code_of(begun, floor, wants_complete=True, own=None) == "incident.not-complete"
        assert report_now(begun(floor, wants_complete=True), floor.cast.teacher).version.is_complete

    def test_only_by_teachers_of_the_shop_and_the_office(self, floor: Floor) -> None:
        for person in floor.cast.not_teachers:
            if person != floor.cast.office:
                assert code_of(begun, floor, by=person) == "access.not-yours", person
        begun(floor, by=floor.cast.office)
        begun(floor, by=floor.cast.colleague)


class TestFreezes:
    def test_clearance_as_it_was_then_and_not_as_it_is_now(self, floor: Floor) -> None:
        signed = floor.make_cleared(floor.cast.student)
        place_hold(
            student=floor.cast.student, machines=None, reason="misuse", lifts="talk", by=floor.cast.teacher,
            tap=uuid4(), at=NOON + HOUR,
        )  # fmt: skip
        incident = begun(floor, at=NOON + 2 * HOUR, happened_at=NOON)
        [account] = IncidentAccount.objects.all()
        said = lines_of(account.known)
        assert said["Clearance for band saw 2"].startswith("Cleared. ")
        assert f"signed off by {signed.by.name}" in said["Clearance for band saw 2"]
        assert said["Sign-off"].startswith(f"Signed off by {signed.by.name} on October 9, 2026 at 12:00 PM.")
        assert said["Holds"] == "None."
        assert f"taught by {floor.cast.teacher.name}" in said["Class"]
        assert said["Run"] == "Runs are not kept in this shop."
        assert account.known["moment"] == "2026-10-12T17:00:00Z"
        assert incident.entry_id

    def test_the_reasons_of_a_student_who_was_not_cleared(self, floor: Floor) -> None:
        begun(floor)
        said = lines_of(IncidentAccount.objects.get().known)["Clearance for band saw 2"]
        assert said.startswith("Not started.")
        assert "The student takes the Band saw quiz. Every answer must be right." in said

    def test_the_machine_with_its_tag_outs(self, floor: Floor) -> None:
        teacher = floor.cast.teacher
        row = tag_out(machine=floor.saw_2, reason="Blade cracked.", by=teacher, tap=uuid4(), at=NOON - 3 * HOUR)
        returned(row, teacher, NOON - 2 * HOUR)
        tag_out(machine=floor.saw_2, reason="Guard loose", by=teacher, tap=uuid4(), at=NOON - HOUR)
        begun(floor)
        said = lines_of(IncidentVersion.objects.get().known)
        name = teacher.name
        assert said["Machine"] == f"Band saw 2: tagged out since October 12, 2026 at 11:00 AM by {name}: Guard loose."
        assert said["Tag-outs"] == (
            "1 earlier tag-out. The last: October 12, 2026 at 9:00 AM, Blade cracked. "
            f"Returned to service October 12, 2026 by {name}: New blade."
        )
        assert said["Last inspection"] == (
            f"October 12, 2026 by {name}, before a return to service: no line answered no."
        )
        assert said["Open hazard reports"] == "None."

    def test_once_and_again_only_for_another_machine_or_moment(self, floor: Floor) -> None:
        floor.make_cleared(floor.cast.student)
        incident = begun(floor)
        known = IncidentAccount.objects.get().known
        SignOff.objects.get()  # on record since before
        place_hold(
            student=floor.cast.student, machines=None, reason="misuse", lifts="talk", by=floor.cast.teacher,
            tap=uuid4(), at=NOON,
        )  # fmt: skip
        goes_on(floor, incident)
        assert report_now(incident, floor.cast.teacher).accounts[0].known == known
        goes_on(floor, incident, seen=2, machine=floor.saw_3)
        assert "Clearance for band saw 3" in lines_of(report_now(incident, floor.cast.teacher).accounts[0].known)
        assert [row.number for row in incident.versions.all()] == [1, 2, 3]


class TestGoesOn:
    def test_second_saving_is_a_version_that_overwrites_nothing(self, floor: Floor) -> None:
        incident = begun(floor, text=ReportText(), own=None)
        goes_on(floor, incident, by=floor.cast.colleague, wants_complete=True)
        latest, first = versions_of(incident, floor.cast.teacher)
        assert (latest.text.words, first.text.words) == (WHOLE.words, "")
        assert (latest.version.by, latest.version.is_complete) == (floor.cast.colleague, True)
        assert last_entry()[0] == "incident.account"

    def test_the_second_of_two_teachers_is_refused_with_who_and_when(self, floor: Floor) -> None:
        incident = begun(floor)
        goes_on(floor, incident, by=floor.cast.colleague)
        assert code_of(goes_on, floor, incident) == "incident.changed"
        assert goes_on(floor, incident, seen=2).number == 3

    def test_account_of_another_student_has_an_entry_of_its_own(self, floor: Floor) -> None:
        cast = floor.cast
        incident = begun(floor)
        own = {cast.student.pk: THUMB, cast.classmate.pk: OwnPart("no one")}
        goes_on(floor, incident, concerned=[cast.student, cast.classmate], own=own, wants_complete=True)
        seen = {row.student: row.content["body"] for row in report_now(incident, cast.teacher).accounts}
        assert seen == {cast.student: "Left thumb, cut", cast.classmate: ""}
        both = [text for text in entries("incident.account") if cast.classmate.name in text and THUMB.body in text]
        assert not both

    def test_keeps_the_machine_as_it_is(self, floor: Floor) -> None:
        incident = begun(floor)
        returned(TagOut.objects.get(), floor.cast.teacher, NOON + HOUR)
        goes_on(floor, incident, at=NOON + 2 * HOUR)
        assert TagOut.objects.filter(returned_at=None).count() == 0


class TestReaders:
    def test_are_teachers_of_the_student_and_the_office(self, floor: Floor) -> None:
        cast = floor.cast
        incident = begun(floor)
        readers = {cast.teacher, cast.colleague, cast.office}
        everyone = {*cast.not_teachers, *readers}
        assert {person for person in everyone if incidents_for(person).exists()} == readers
        for person in everyone - readers:
            assert code_of(goes_on, floor, incident, by=person) == "access.not-yours", person
            assert code_of(add_photo, incident=incident, sent=photo_of(), by=person) == "access.not-yours", person
            change = {"incident": incident, "words": "New guard", "tap": uuid4()}
            assert code_of(add_follow_up, by=person, **change) == "access.not-yours", person
            assert code_of(note_hand_over, incident=incident, form="report", by=person) == "access.not-yours", person

    def test_must_reach_every_student_concerned(self, floor: Floor) -> None:
        """Another shop's teacher who teaches one of the two does not read about the other."""
        cast = floor.cast
        begun(floor, concerned=[cast.student, cast.classmate])
        EnrollmentFactory(section=_section_of(cast.other_teacher), student=cast.student)
        assert not incidents_for(cast.other_teacher).exists()
        EnrollmentFactory(section=cast.other_teacher.sections.get(), student=cast.classmate)
        assert incidents_for(cast.other_teacher).exists()

    def test_do_not_see_a_witness_out_of_their_reach(self, floor: Floor) -> None:
        cast = floor.cast
        incident = begun(floor, witnesses=[cast.classmate])
        EnrollmentFactory(section=_section_of(cast.other_teacher), student=cast.student)
        report = report_now(incident, cast.other_teacher)
        assert (report.witnesses, report.other_witnesses) == ((), 1)
        assert report_now(incident, cast.teacher).witnesses == (cast.classmate,)
        goes_on(floor, incident, by=cast.other_teacher)  # and does not take the witness out
        assert report_now(incident, cast.teacher).witnesses == (cast.classmate,)

    def test_kinds_in_the_logbook_are_the_declared_ones(self, floor: Floor) -> None:
        cast = floor.cast
        incident = begun(floor, concerned=[], text=ReportText(other_person="A visitor"), machine=None)
        add_follow_up(incident=incident, words="A rope at the door", by=cast.teacher, tap=uuid4(), at=NOON)
        seen = {
            person: logbook_search.readable(person).filter(kind__startswith="incident.").count()
            for person in (cast.teacher, cast.office, cast.other_teacher)
        }
        assert seen == {cast.teacher: 3, cast.office: 3, cast.other_teacher: 0}


def _section_of(teacher: Person) -> Any:
    section = SectionFactory(shop=teacher.shops.get())
    section.teachers.add(teacher)
    return section


class TestPhotos:
    def test_photos_are_drawn_again_without_place_or_device(self, floor: Floor) -> None:
        row = add_photo(incident=begun(floor), sent=photo_of(), by=floor.cast.teacher, at=NOON)
        kept = bytes(row.file.content)
        with Image.open(BytesIO(kept)) as picture:
            assert (picture.format, dict(picture.getexif())) == ("WEBP", {})
        assert b"Some camera" not in kept

    def test_are_stored_once(self, floor: Floor) -> None:
        incident, asked = begun(floor), {"sent": photo_of(), "by": floor.cast.teacher, "at": NOON}
        assert add_photo(incident=incident, **asked) == add_photo(incident=incident, **asked)

    def test_must_be_pictures(self, floor: Floor) -> None:
        assert code_of(add_photo, incident=begun(floor), sent=b"%PDF", by=floor.cast.teacher) == "photo.no-picture"


class TestFollowUps:
    def test_stand_until_done_once(self, floor: Floor) -> None:
        cast, incident = floor.cast, begun(floor, wants_complete=True)
        change: dict[str, Any] = {"words": "A longer push stick", "day": date(2026, 10, 20), "tap": uuid4()}
        row = add_follow_up(incident=incident, by=cast.teacher, at=NOON, **change)
        assert open_incidents(cast.colleague, NOON).follow_ups == [row]
        finish_follow_up(follow_up=row, words="Bought two", by=cast.colleague, at=NOON + HOUR)
        assert not open_incidents(cast.colleague, NOON)
        assert code_of(finish_follow_up, follow_up=row, words="", by=cast.teacher) == "follow-up.done"

    def test_say_what_changes_and_are_added_once_for_one_tap(self, floor: Floor) -> None:
        incident, tap = begun(floor), uuid4()
        asked: dict[str, Any] = {"incident": incident, "by": floor.cast.teacher, "tap": tap, "at": NOON}
        assert code_of(add_follow_up, words=" ", **asked | {"tap": uuid4()}) == "follow-up.no-words"
        assert add_follow_up(words="Rope", **asked) == add_follow_up(words="Rope", **asked)
        assert code_of(add_follow_up, words="Tape", **asked) == "follow-up.tap-used"
        assert FollowUp.objects.count() == 1


class TestDates:
    def test_are_as_the_school_sets_them(self, floor: Floor) -> None:
        cast = floor.cast
        begun(floor)
        [line] = lines_for(cast.teacher, NOON)
        assert (line.dates.due, line.dates.keep) == (date(2026, 10, 19), date(2031, 12, 31))
        set_incident_settings(emergency_number="112", office_phone="", due_days=3, by=cast.office, at=NOON)
        set_retention(years=2, years_after_injury=7, by=cast.office, at=NOON)
        reader = Person.objects.get(pk=cast.teacher.pk)  # with the school as it is now
        [line] = lines_for(reader, NOON + timedelta(days=4))
        assert (line.dates.due, line.dates.keep, line.dates.overdue) == (date(2026, 10, 15), date(2033, 12, 31), True)

    def test_are_set_by_the_office_alone(self, floor: Floor) -> None:
        fields = {"emergency_number": "112", "office_phone": "", "due_days": 3}
        for person in floor.cast.not_office:
            assert code_of(set_incident_settings, by=person, **fields) == "access.not-yours", person
        office = floor.cast.office
        assert code_of(set_incident_settings, by=office, **fields | {"due_days": 0}) == "incident-settings.no-days"
        wrong = fields | {"emergency_number": " "}
        assert code_of(set_incident_settings, by=office, **wrong) == "incident-settings.no-number"


class TestErasing:
    LATER = NOON + timedelta(days=365 * 6)

    def left(self, floor: Floor, **changes: Any) -> Incident:
        """The student was hurt, and is in no class any more."""
        cast = floor.cast
        incident = begun(floor, **changes)
        add_photo(incident=incident, sent=photo_of(), by=cast.teacher, at=NOON)
        end_enrollment(section=cast.section, student=cast.student, by=cast.teacher, at=NOON)
        return incident

    def erase(self, floor: Floor, at: Any = None) -> Any:
        student, office = floor.cast.student, floor.cast.office
        return erase_student(student=student, reason="The family asked.", by=office, at=at or self.LATER)

    def test_waits_for_the_date_until_which_an_injury_is_kept(self, floor: Floor) -> None:
        self.left(floor)
        assert code_of(self.erase, floor) == "erase.injury"
        set_retention(years=1, years_after_injury=5, by=floor.cast.office, at=NOON)
        assert code_of(self.erase, floor, NOON + timedelta(days=400)) == "erase.injury"
        self.erase(floor)

    def test_waits_while_no_one_has_written_whether_it_hurt(self, floor: Floor) -> None:
        self.left(floor, own=None)
        assert code_of(self.erase, floor) == "erase.injury"

    def test_does_not_wait_for_a_near_miss(self, floor: Floor) -> None:
        self.left(floor, sort="near-miss", own={floor.cast.student.pk: OwnPart("no one")})
        self.erase(floor, NOON + timedelta(days=40))

    def test_takes_the_account_and_the_photos_and_leaves_the_machine_its_incident(self, floor: Floor) -> None:
        cast = floor.cast
        incident = self.left(floor, concerned=[cast.student, cast.classmate])
        set_retention(years=1, years_after_injury=1, by=cast.office, at=NOON)
        self.erase(floor)
        assert [row.student for row in IncidentAccount.objects.all()] == [cast.classmate]
        assert not PhotoFile.objects.exists()
        assert incident.photos.count() == 1
        assert not wrong()

    def test_erasing_the_only_student_leaves_a_report_that_says_so(self, floor: Floor) -> None:
        incident = self.left(floor)
        set_retention(years=1, years_after_injury=1, by=floor.cast.office, at=NOON)
        self.erase(floor)
        report = report_now(incident, floor.cast.colleague)
        assert (report.is_erased, report.version.machine) == (True, floor.saw_2)
        assert not wrong()


def test_moment_of_an_act_is_never_before_the_incident(floor: Floor) -> None:
    """Without a moment handed in: the server's clock."""
    report = hurt_at_saw(floor, happened_at=timezone.now())
    open_incident(shop=floor.cast.shop, report=report, by=floor.cast.teacher, tap=uuid4())
    assert not wrong()
