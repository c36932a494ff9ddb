"""Classes and their people."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shopsafe.school.models import Person, Section, StudentDocument
from shopsafe.school.refusals import Refused
from shopsafe.school.signing_in.acts import sign_in
from shopsafe.school.signing_in.codes.devices import digest_of
from shopsafe.school.signing_in.rules.wrong_codes import DEVICE_TRIES, NAME_TRIES
from tests.cast import Cast
from tests.factories.people import CODE, EnrollmentFactory, PersonFactory, SectionFactory

AT = datetime(2026, 10, 12, 15, 0, tzinfo=UTC)


def text_of(client: Client, address: str) -> str:
    page = client.get(address)
    assert page.status_code == 200
    return page.content.decode()


def lock(person: Person) -> None:
    for _ in range(NAME_TRIES):
        with pytest.raises(Refused):
            sign_in(name=person.sign_in_name, code="WRONG", at=AT)


def test_agreement_is_withdrawn_with_a_reason(client: Client, cast: Cast) -> None:
    client.force_login(cast.teacher)
    people, today = f"/people/{cast.section.pk}/", datetime.now(ZoneInfo(cast.school.time_zone)).date()
    client.post(f"{people}documents/", {"student": cast.student.pk, "signed_on": today})
    page = f"{people}{cast.student.pk}/"
    place = f"{page}agreement/withdraw/"
    assert place in text_of(client, page)
    bare = client.post(place, {"reason": ""})
    assert bare.status_code == 422
    assert "Say why it is withdrawn." in bare.content.decode()
    assert StudentDocument.objects.get().taken_back_at is None
    for status in (302, 409):
        assert client.post(place, {"reason": "It was her sister's."}).status_code == status
    assert StudentDocument.objects.get().taken_back_reason == "It was her sister's."
    assert place not in text_of(client, page)


def test_teacher_sees_all_classes_and_changes_only_their_own(client: Client, cast: Cast) -> None:
    client.force_login(cast.teacher)
    text = text_of(client, "/people/")
    assert cast.section.name in text
    assert f"/people/import/{cast.section.pk}/" in text
    client.force_login(cast.colleague)
    text = text_of(client, "/people/")
    assert cast.section.name in text
    assert f"/people/import/{cast.section.pk}/" not in text


def test_the_office_sees_every_class_of_the_school_and_no_other(client: Client, cast: Cast) -> None:
    client.force_login(cast.office)
    text = text_of(client, "/people/")
    assert cast.section.name in text
    assert cast.stranger_section.name not in text


def test_the_class_shows_number_agreement_lock_and_last_sign_in(client: Client, cast: Cast) -> None:
    student = EnrollmentFactory(
        section=cast.section, student=PersonFactory(school=cast.school, local_id="000417")
    ).student
    sign_in(name=student.sign_in_name, code=CODE, at=AT)
    lock(cast.student)
    client.force_login(cast.teacher)
    place = f"/people/{cast.section.pk}/"
    text = text_of(client, place)
    for seen in ("000417", "is locked after wrong codes", "not yet"):
        assert seen in text
    assert "October 12, 2026, 10:00 AM" in text_of(client, f"{place}{student.pk}/")
    assert "never" in text_of(client, f"{place}{cast.student.pk}/")


def test_a_colleague_looks_and_changes_nothing(client: Client, cast: Cast) -> None:
    client.force_login(cast.colleague)
    text = text_of(client, f"/people/{cast.section.pk}/")
    assert cast.student.name in text
    assert 'type="checkbox"' not in text
    assert f"/people/{cast.section.pk}/{cast.student.pk}/" not in text


def test_the_page_asks_the_database_as_often_for_thirty_as_for_two(client: Client, cast: Cast) -> None:
    client.force_login(cast.teacher)
    counts = []
    for added in (0, 28):
        EnrollmentFactory.create_batch(added, section=cast.section)
        with CaptureQueriesContext(
            connection,
        ) as asked:
            client.get(f"/people/{cast.section.pk}/")
        counts.append(len(asked))
    assert counts[0] == counts[1] <= 12


def test_a_locked_student_is_let_in(client: Client, cast: Cast) -> None:
    lock(cast.student)
    client.force_login(cast.teacher)
    page = client.post(f"/people/{cast.section.pk}/{cast.student.pk}/let-in/", follow=True)
    assert "may try again, with the same slip." in page.content.decode()
    assert sign_in(name=cast.student.sign_in_name, code=CODE, at=AT) == cast.student


def test_wave_of_locks_is_shown_and_unlocked_in_one_tap(client: Client, cast: Cast) -> None:
    students = [cast.student, cast.classmate, *(EnrollmentFactory(section=cast.section).student for _ in range(6))]
    with time_machine.travel(AT, tick=False):
        for student in students:
            for _ in range(DEVICE_TRIES):
                with pytest.raises(Refused):
                    sign_in(name=student.sign_in_name, code="WRONG", device=digest_of("laptop"), at=AT)
        client.force_login(cast.teacher)
        for page in (f"/people/{cast.section.pk}/", "/today/needs/"):
            text = text_of(client, page)
            assert "<b>8 names were locked within 1 minute</b>, from one device, at October 12, 2026, 10:00 AM." in text
            assert "Unlock all 8" in text
        answer = client.post(f"/people/{cast.section.pk}/let-in/?next=/today/", follow=True)
        assert answer.redirect_chain == [("/today/", 302)]
        assert "Unlocked 8 students." in answer.content.decode()
        assert "names were locked" not in text_of(client, f"/people/{cast.section.pk}/")


def test_agreements_of_those_checked_are_recorded(client: Client, cast: Cast) -> None:
    client.force_login(cast.teacher)
    sent = {"student": [cast.student.pk, cast.classmate.pk, cast.stranger_student.pk], "signed_on": "2026-09-08"}
    page = client.post(f"/people/{cast.section.pk}/documents/", sent, follow=True)
    assert "Safety agreement recorded for 2 students." in page.content.decode()
    assert {agreement.student for agreement in StudentDocument.objects.all()} == {cast.student, cast.classmate}


@pytest.mark.parametrize(
    ("day", "ticked", "said"),
    [
        ("", True, "on which day it was signed"),
        ("2999-01-01", True, "has not come yet"),
        ("2026-09-08", False, "Select the"),
    ],
)
def test_invalid_agreement_shows_an_error_and_keeps_the_checks(
    client: Client, cast: Cast, day: str, ticked: bool, said: str
) -> None:
    client.force_login(cast.teacher)
    sent = {"student": [cast.student.pk] if ticked else [], "signed_on": day}
    page = client.post(f"/people/{cast.section.pk}/documents/", sent)
    text = page.content.decode()
    assert page.status_code == 422
    assert said in text
    assert ("checked" in text) is ticked
    assert not StudentDocument.objects.exists()


def test_everyone_can_be_checked_without_a_script(client: Client, cast: Cast) -> None:
    client.force_login(cast.teacher)
    assert text_of(client, f"/people/{cast.section.pk}/?tick=all").count(" checked") == 2


def test_a_student_is_added_by_hand_or_asked_about(client: Client, cast: Cast) -> None:
    client.force_login(cast.teacher)
    address = f"/people/{cast.section.pk}/add/"
    page = client.post(address, {"name": "Lund, Uma", "local_id": ""})
    assert page.status_code == 422
    assert "There is no student number" in page.content.decode()
    page = client.post(address, {"name": "Lund, Uma", "local_id": "000417"}, follow=True)
    assert "Uma Lund is in the class." in page.content.decode()


def test_missing_number_shows_an_error_at_the_add_form(client: Client, cast: Cast) -> None:
    client.force_login(cast.teacher)
    place = f"/people/{cast.section.pk}/"
    assert "Required unless you check the box below." in text_of(client, place)
    text = client.post(f"{place}add/", {"name": "Lund, Uma", "local_id": ""}).content.decode()
    before, _, form = text.partition("Add one student")
    assert '<a href="#id_local_id">There is no student number.' in form
    assert '<p class="error" id="id_local_id_error">There is no student number. Type it' in form
    assert 'role="alert"' not in before


def test_a_number_of_someone_else_is_said_at_the_number(client: Client, cast: Cast) -> None:
    client.force_login(cast.teacher)
    place = f"/people/{cast.section.pk}/add/"
    client.post(place, {"name": "Elif", "local_id": "S1004"})
    text = client.post(place, {"name": "Kaya, Elif", "local_id": "S1004"}).content.decode()
    assert 'id="id_local_id_error">The number S1004 belongs to Elif. If it is the same student, correct' in text


def test_student_is_taken_out_after_a_day_and_kept_after_all(client: Client, cast: Cast) -> None:
    client.force_login(cast.teacher)
    place = f"/people/{cast.section.pk}/{cast.student.pk}/"
    with time_machine.travel(AT, tick=False):
        asked = text_of(client, place)
        assert "Everything recorded stays" in asked
        assert 'name="last_day" value="2026-10-12"' in asked
        page = client.post(f"{place}end/", {"last_day": "2026-10-12"}, follow=True).content.decode()
        assert f"Today is the last day of {cast.student.name} in {cast.section.name}." in page
        assert f"Last day in this class today: <b>{cast.student.name}</b>." in page.partition("<main")[2]
        page = client.post(f"{place}keep/", follow=True).content.decode()
        assert f"{cast.student.name} stays in {cast.section.name}." in page
        page = client.post(f"{place}end/", {"last_day": "2026-10-30"}, follow=True).content.decode()
        assert f"October 30, 2026 is the last day of {cast.student.name}" in page
        assert "Last day in this class today" not in page
        assert "<b>October 30, 2026</b> is the last day" in text_of(client, place)


@pytest.mark.parametrize(
    ("day", "sentence"), [("", "Say which day is the last one."), ("2026-10-11", "That day is over.")]
)
def test_last_day_that_is_over_or_missing_is_refused_at_its_field(
    client: Client, cast: Cast, day: str, sentence: str
) -> None:
    client.force_login(cast.teacher)
    with time_machine.travel(AT, tick=False):
        page = client.post(f"/people/{cast.section.pk}/{cast.student.pk}/end/", {"last_day": day})
    assert page.status_code == 422
    assert f'id="id_last_day_error">{sentence}' in page.content.decode()
    assert cast.student.enrollments.get().until_day is None


def test_student_is_moved_by_picking_a_class(client: Client, cast: Cast) -> None:
    other = SectionFactory(shop=cast.shop, term=cast.section.term, name="9 Oak")
    client.force_login(cast.teacher)
    place = f"/people/{cast.section.pk}/{cast.student.pk}/"
    with time_machine.travel(AT, tick=False):
        assert f'<option value="{other.pk}">9 Oak, {cast.shop.name}</option>' in text_of(client, place)
        bare = client.post(f"{place}move/", {"to": ""})
        assert (bare.status_code, "Choose a class." in bare.content.decode()) == (422, True)
        page = client.post(f"{place}move/", {"to": other.pk}, follow=True).content.decode()
        assert f"{cast.student.name} is in 9 Oak from today." in page
        assert cast.student.name in text_of(client, f"/people/{other.pk}/")


def test_student_entered_by_mistake_is_removed_and_one_with_a_record_is_not(client: Client, cast: Cast) -> None:
    client.force_login(cast.teacher)
    place = f"/people/{cast.section.pk}/{cast.student.pk}/remove/"
    assert f"Remove {cast.student.name}?" in text_of(client, place)
    page = client.post(place, follow=True).content.decode()
    assert "The student is removed." in page
    assert not Person.objects.filter(pk=cast.student.pk).exists()
    place = f"/people/{cast.section.pk}/{cast.classmate.pk}/"
    sent = {"student": cast.classmate.pk, "signed_on": datetime.now(ZoneInfo(cast.school.time_zone)).date()}
    client.post(f"/people/{cast.section.pk}/documents/", sent)
    assert "On record: 1 document handed in." in text_of(client, f"{place}remove/")
    assert client.post(f"{place}remove/").status_code == 409


def test_teacher_adds_an_own_class(client: Client, cast: Cast) -> None:
    client.force_login(cast.teacher)
    assert "/office/classes/add/" in text_of(client, "/people/")
    sent = {"name": "9 Oak", "term": cast.section.term.pk, "shop": cast.shop.pk}
    assert "9 Oak: kept." in client.post("/office/classes/add/", sent, follow=True).content.decode()
    assert Section.objects.get(name="9 Oak").teachers.get() == cast.teacher


def test_teacher_without_a_shop_is_sent_to_the_office(client: Client, cast: Cast) -> None:
    lone = PersonFactory(school=cast.school, role="teacher")
    client.force_login(lone)
    assert "once the office has added a term and made you a teacher of a shop" in text_of(client, "/people/")
    assert client.get("/office/classes/add/").status_code == 404


def test_a_student_of_elsewhere_can_not_be_taken_out_of_a_class(client: Client, cast: Cast) -> None:
    client.force_login(cast.teacher)
    assert client.post(f"/people/{cast.section.pk}/{cast.stranger_student.pk}/end/").status_code == 404
    assert client.get(f"/people/{2**63}/").status_code == 404
