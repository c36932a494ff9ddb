"""Pages of incidents: a form where only who is needed, typed words that no one loses, and files."""

from typing import Any
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponseBase
from django.test import Client
from django.utils import timezone

from machines.incidents.acts.reports import write_report
from machines.incidents.queries import report_now
from machines.models import FollowUp, Incident, IncidentPhoto, IncidentVersion, PhotoFile, TagOut
from shopsafe.logbook.models import Listing
from shopsafe.school.models import Person
from tests.factories.machines import NOON, Floor
from tests.factories.reports.incidents import begun, follow_up_of, hurt_at_saw, photo_of
from tests.factories.shop_in_use import given, opened


def signed_in(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


@pytest.fixture
def teacher(floor: Floor) -> Client:
    return signed_in(floor.cast.teacher)


def sent(floor: Floor, **fields: Any) -> dict[str, Any]:
    """The form with who alone, as a browser sends it."""
    now = timezone.localtime()
    return {"tap": uuid4(), "sort": "incident", "day": f"{now:%Y-%m-%d}", "time": "00:00"} | fields


def new(floor: Floor) -> str:
    return f"/shops/{floor.cast.shop.pk}/incidents/new/"


def text_of(answer: HttpResponseBase) -> str:
    return " ".join(getattr(answer, "content").decode().split())  # noqa: B009  a file has none


class TestForm:
    def test_opens_with_the_emergency_number_and_what_is_known(self, floor: Floor, teacher: Client) -> None:
        floor.make_cleared(floor.cast.student)
        page = text_of(teacher.get(f"{new(floor)}?machine={floor.saw_2.pk}&student={floor.cast.student.pk}"))
        assert page.index('href="tel:911"') < page.index('id="f-who"')
        assert "Cleared. The safety agreement" in page
        assert f'value="{floor.saw_2.pk}" id="id_machine_1" checked' in page

    def test_lists_the_students_at_machines_first(self, floor: Floor, teacher: Client) -> None:
        cast = floor.cast
        opened(floor, NOON)
        floor.make_cleared(cast.classmate)
        given(floor, cast.classmate, floor.saw_2, NOON)
        page = text_of(teacher.get(new(floor)))
        assert page.index("At the machines now") < page.index(f"<summary>{cast.section.name}")
        assert f"{cast.classmate.short_name}, band saw 2" in page
        assert page.count(f'name="who" value="{cast.classmate.pk}"') == 1

    def test_saves_with_who_alone(self, floor: Floor, teacher: Client) -> None:
        answer = teacher.post(new(floor), sent(floor, who=[floor.cast.student.pk]))
        incident = Incident.objects.get()
        assert (answer.status_code, answer.headers["Location"]) == (302, f"/incidents/{incident.pk}/")
        page = text_of(teacher.get(f"/incidents/{incident.pk}/"))
        assert "Still to fill in:</b> Machine, Doing what, What happened, Who was informed, Hurt." in page

    def test_asks_who_in_its_row_and_keeps_what_was_typed(self, floor: Floor, teacher: Client) -> None:
        answer = teacher.post(new(floor), sent(floor, words="An offcut jumped"))
        page = text_of(answer)
        assert answer.status_code == 422
        assert page.index("Who was it? Choose a student") < page.index("What it was")
        assert "An offcut jumped" in page
        assert not Incident.objects.exists()

    @pytest.mark.parametrize("fields", [{"day": "9999-12-31"}, {"day": "soon"}, {"tap": ""}, {"sort": "party"}])
    def test_says_what_is_wrong_with_the_rest(self, floor: Floor, teacher: Client, fields: dict[str, str]) -> None:
        answer = teacher.post(new(floor), sent(floor, who=[floor.cast.student.pk], time="23:59") | fields)
        assert answer.status_code == 422
        assert 'role="alert"' in text_of(answer)

    def test_offers_no_student_of_another_school(self, floor: Floor, teacher: Client) -> None:
        answer = teacher.post(new(floor), sent(floor, who=[floor.cast.stranger_student.pk]))
        assert answer.status_code == 422
        assert floor.cast.stranger_student.name not in text_of(answer)

    def test_keeps_hours_to_whom_and_when(self, floor: Floor, teacher: Client) -> None:
        fields = {"nurse_at": "10:46", "office": "on", "machine": "none", "hurt": "a little", "aid": ["rinsed"]}
        teacher.post(new(floor), sent(floor, who=[floor.cast.student.pk], **fields))
        report = report_now(Incident.objects.get(), floor.cast.teacher)
        assert list(report.text.informed) == [("office", ""), ("nurse", "10:46")]
        assert (report.text.no_machine, report.accounts[0].hurt) == (True, "a little")

    def test_goes_on_with_all_that_was_saved(self, floor: Floor, teacher: Client) -> None:
        incident = begun(floor, at=timezone.now())
        page = text_of(teacher.get(f"/incidents/{incident.pk}/report/"))
        for stored in ("A short offcut jumped", "Left thumb, cut", 'value="12:05"', 'name="seen" value="1"'):
            assert stored in page
        assert f'name="who" value="{floor.cast.student.pk}" checked' in page

    def test_shows_the_second_teacher_both_reports(self, floor: Floor, teacher: Client) -> None:
        """What the second teacher typed is still there, and is saved by pressing again."""
        now = timezone.now()
        incident = begun(floor, at=now)
        write_report(
            incident=incident, report=hurt_at_saw(floor, happened_at=now), seen=1, by=floor.cast.colleague, tap=uuid4()
        )
        address = f"/incidents/{incident.pk}/report/"
        mine = sent(floor, who=[floor.cast.student.pk], seen=1, words="Seen from the other side")
        answer = teacher.post(address, mine)
        page = text_of(answer)
        assert answer.status_code == 409
        assert f"{floor.cast.colleague.name} saved this report on" in page
        assert "Seen from the other side" in page
        assert "A short offcut jumped" in page
        assert 'name="seen" value="2"' in page
        assert teacher.post(address, mine | {"seen": 2, "tap": uuid4()}).status_code == 302
        assert IncidentVersion.objects.count() == 3

    def test_asks_two_students_apart_about_their_bodies(self, floor: Floor, teacher: Client) -> None:
        cast = floor.cast
        incident = begun(floor, at=timezone.now(), concerned=[cast.student, cast.classmate])
        page = text_of(teacher.get(f"/incidents/{incident.pk}/report/"))
        assert f'name="hurt{cast.student.pk}"' in page
        assert f'name="hurt{cast.classmate.pk}"' in page


class TestReport:
    def test_offers_a_hold_and_says_what_is_tagged_out(self, floor: Floor, teacher: Client) -> None:
        incident, student = begun(floor, at=timezone.now()), floor.cast.student
        page = text_of(teacher.get(f"/incidents/{incident.pk}/"))
        assert f'href="/tag-outs/{TagOut.objects.get().pk}/return/"' in page
        assert "Kept until" in page
        hold = f"/classes/{floor.cast.section.pk}/register/{student.pk}/hold/"
        address = f"{hold}?report={incident.pk}&next=/incidents/{incident.pk}/&reason=injury&machine={floor.saw_2.pk}"
        assert f'href="{address}"' in page.replace("&amp;", "&")

    def test_hold_from_a_report_is_filled_in_and_leads_back(self, floor: Floor, teacher: Client) -> None:
        incident, cast = begun(floor, at=timezone.now()), floor.cast
        hold = f"/classes/{cast.section.pk}/register/{cast.student.pk}/hold/"
        address = f"{hold}?report={incident.pk}&next=/incidents/{incident.pk}/&reason=injury&machine={floor.saw_2.pk}"
        page = text_of(teacher.get(address))
        assert page.count(" checked>") == 3, "some machines, this machine, and the reason"
        assert f"See report {incident.pk}." in page
        fields = {"tap": str(uuid4()), "where": "some", "machines": floor.saw_2.pk, "reason": "injury", "lifts": "talk"}
        answer = teacher.post(address, fields | {"words": f"See report {incident.pk}."})
        assert answer.headers["Location"] == f"/incidents/{incident.pk}/"
        assert f"is on hold: An injury is being looked into: See report {incident.pk}." in text_of(
            teacher.get(answer.headers["Location"])
        )

    def test_photo_is_added_and_shown_to_readers_alone(self, floor: Floor, teacher: Client) -> None:
        incident = begun(floor, at=timezone.now())
        file = SimpleUploadedFile("saw.jpg", photo_of(), "image/jpeg")
        assert teacher.post(f"/incidents/{incident.pk}/photos/", {"photo": file}).status_code == 302
        address = f"/incidents/{incident.pk}/photos/{IncidentPhoto.objects.get().key}/"
        answer = teacher.get(address)
        assert (answer.headers["Content-Type"], answer.headers["Cache-Control"]) == ("image/webp", "no-store")
        assert signed_in(floor.cast.other_teacher).get(address).status_code == 404
        PhotoFile.objects.all().delete()
        assert teacher.get(address).status_code == 404
        assert "was removed with a student’s record" in text_of(teacher.get(f"/incidents/{incident.pk}/"))

    def test_photo_that_is_not_a_picture_is_refused_beside_its_field(self, floor: Floor, teacher: Client) -> None:
        incident = begun(floor, at=timezone.now())
        file = SimpleUploadedFile("saw.pdf", b"%PDF-1.7", "application/pdf")
        answer = teacher.post(f"/incidents/{incident.pk}/photos/", {"photo": file})
        assert answer.status_code == 422
        assert "This picture cannot be read." in text_of(answer)

    def test_follow_up_is_added_and_done(self, floor: Floor, teacher: Client) -> None:
        incident = begun(floor, at=timezone.now())
        fields = {"tap": uuid4(), "words": "A longer push stick", "day": "2026-12-20"}
        assert teacher.post(f"/incidents/{incident.pk}/follow-ups/", fields).status_code == 302
        row = FollowUp.objects.get()
        assert "A longer push stick" in text_of(teacher.get("/incidents/"))
        assert teacher.post(f"/follow-ups/{row.pk}/done/", {"words": "Bought"}).status_code == 302
        assert "A longer push stick" not in text_of(teacher.get("/incidents/"))
        assert teacher.post(f"/follow-ups/{row.pk}/done/", {"words": "Bought"}).status_code == 409

    @pytest.mark.parametrize("form", ["report", "hand-over"])
    def test_file_is_made_and_noted(self, form: str, floor: Floor, teacher: Client) -> None:
        incident = begun(floor, at=timezone.now())
        answer = teacher.post(f"/incidents/{incident.pk}/file/", {"form": form})
        assert answer.content.startswith(b"%PDF")
        taken = set(Listing.objects.values_list("kind", flat=True)) & {"incident.file_made", "record.exported"}
        assert taken == ({"incident.file_made"} if form == "report" else {"incident.file_made", "record.exported"})

    def test_says_so_when_the_facts_of_the_moment_no_longer_give_their_digest(
        self, floor: Floor, teacher: Client, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        incident = begun(floor, at=timezone.now())
        monkeypatch.setattr("machines.incidents.report_page.digest_of", lambda known: "other")
        assert "The facts of the moment were changed" in text_of(teacher.get(f"/incidents/{incident.pk}/"))


def test_settings_are_shown_first_on_a_new_report(floor: Floor) -> None:
    office = signed_in(floor.cast.office)
    fields = {"emergency_number": "112", "office_phone": "555-0142", "due_days": "5"}
    assert office.post("/incidents/settings/", fields).status_code == 302
    page = text_of(office.get(new(floor)))
    assert 'href="tel:112"' in page
    assert "555-0142" in page


def test_list_asks_as_often_for_one_report_as_for_many(
    floor: Floor, teacher: Client, django_assert_max_num_queries: Any
) -> None:
    begun(floor, at=timezone.now())
    with django_assert_max_num_queries(16) as first:
        teacher.get("/incidents/")
    for _ in range(4):
        follow_up_of(begun(floor, at=timezone.now()), floor.cast.teacher)
    with django_assert_max_num_queries(len(first)):
        teacher.get("/incidents/")
