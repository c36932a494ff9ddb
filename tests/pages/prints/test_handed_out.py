"""What the Print page hands out and puts at a machine: substitute sheet, agreement, posters, tags, inspections."""

import re
import uuid
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from machines.holds.acts import place_hold
from machines.models import Hold
from machines.tag_outs.acts import tag_out
from shopsafe.school.models import SheetWords
from tests.factories.machines import NOON, Floor
from tests.factories.people import EnrollmentFactory, SectionFactory
from tests.factories.substitutes import granted, with_number
from tests.pages.prints.printing import make, room
from tests.paper import looking

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]


# Substitute sheet


def own_words(client: Client, floor: Floor, sheet: str, **sent: Any) -> Any:
    return client.post(reverse("sheet-words", args=[floor.cast.shop.pk, sheet]), {"instead_of": 0} | sent)


def test_no_machine_runs_under_a_substitute_until_the_shop_says_so(client: Client, floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    sent = {"call": "Office: 204\n\n  Nurse: 118 ", "notes": "", "work": f"{floor.cast.section.name}: Box lids"}
    assert own_words(client, floor, "substitute", runs="no", **sent).status_code == 302
    assert "No machine runs today." in looking.text(make(client, floor, "substitute-sheet"))
    stored = SheetWords.objects.get().pk
    response = own_words(client, floor, "substitute", runs="yes", instead_of=stored, **sent)
    assert response.headers["Location"] == f"/prints/?shop={floor.cast.shop.pk}&what=substitute-sheet"
    text = looking.text(make(client, floor, "substitute-sheet"))
    assert "No machine runs today." in text, "no one was granted supervising"
    assert floor.cast.student.name not in text
    tag_out(machine=floor.drill_1, reason="Belt torn", by=floor.cast.teacher, tap=uuid.uuid4(), at=NOON)
    granted(floor.cast)
    text = " ".join(word.text for word in looking.words(make(client, floor, "substitute-sheet")))
    assert "May run: Band saw 2. All other machines stay off" in text
    assert f"Band saw 2 {floor.cast.student.name}" in text
    assert "Band saw 3: No one is cleared." in text
    assert "Drill press 1: Tagged out: Belt torn" in text
    assert text.index("Office: 204") < text.index("Nurse: 118")
    assert "Work Box lids" in text
    assert f"supervised by {floor.cast.substitute.name}" in text


@pytest.mark.parametrize("call", [None, ["The office"]], ids=["standard", "own"])
def test_substitute_sheet_waits_for_a_phone_number(client: Client, floor: Floor, call: list[str] | None) -> None:
    if call:
        with_number(floor.cast, call=call)
    address = reverse("print-make", args=[floor.cast.shop.pk, "substitute-sheet"])
    response = client.post(address, {"paper": "letter", "section": ""})
    assert response.status_code == 422
    assert "Add a phone number first" in response.content.decode()
    refused = own_words(client, floor, "substitute", runs="no", call="The office", notes="", work="")
    assert "Add a phone number" in refused.content.decode()


def test_substitute_sheet_names_holds_and_only_classes_with_supervising(client: Client, floor: Floor) -> None:
    other = SectionFactory(shop=floor.cast.shop, term=floor.cast.section.term, name="Another class")
    newcomer = EnrollmentFactory(section=other).student
    for student in (floor.cast.student, newcomer):
        floor.make_cleared(student)
    hold = {"machines": None, "reason": Hold.Reason.HORSEPLAY, "lifts": Hold.Lifts.TALK, "tap": uuid.uuid4()}
    place_hold(student=floor.cast.classmate, by=floor.cast.teacher, at=NOON, **hold)
    with_number(floor.cast)
    granted(floor.cast)
    text = " ".join(word.text for word in looking.words(make(client, floor, "substitute-sheet", section="")))
    assert f"{floor.cast.classmate.name}, {floor.cast.section.name}: every machine" in text
    assert f"Band saw 2 {floor.cast.student.name}" in text
    assert newcomer.name not in text
    assert re.search(r"Another class 1 student No machine runs\.", text)


def test_a_substitute_prints_the_sheet_of_a_class(floor: Floor) -> None:
    client = Client()
    client.force_login(floor.cast.substitute)
    address = reverse("substitute-sheet", args=[floor.cast.section.pk])
    assert address in client.get(reverse("today")).content.decode()
    response = client.get(address, {"paper": "a4"})
    assert looking.page_sizes(response.content) == [pytest.approx((210, 297), abs=0.1)]
    assert "No machine runs today." in looking.text(response.content)


# Safety agreement


def test_the_agreement_is_printed_for_each_student_or_once_to_copy(client: Client, floor: Floor) -> None:
    pdf = make(client, floor, "safety-agreement")
    assert len(looking.page_sizes(pdf)) == 2
    assert floor.cast.student.name in looking.text(pdf)
    assert floor.cast.section.name in looking.text(pdf)
    blank = make(client, floor, "safety-agreement", section="")
    assert len(looking.page_sizes(blank)) == 1
    assert floor.cast.section.name not in looking.text(blank)
    assert "Safety agreement 2026–27" in looking.text(blank)
    assert "only while a teacher is in the room" in looking.text(blank)


def test_own_wording_is_printed_and_a_stale_change_is_refused(client: Client, floor: Floor) -> None:
    words = {"intro": "Read this.", "rules": "One.\nTwo.", "promise": "I will.", "guardian": "We read it."}
    assert own_words(client, floor, "agreement", **words).status_code == 302
    sheet_text = looking.text(make(client, floor, "safety-agreement", section=""))
    assert all(words in sheet_text for words in ("Read this.", "One.", "Two.", "I will.", "We read it."))
    assert "a teacher is in the room" not in sheet_text
    late = own_words(client, floor, "agreement", **words | {"rules": "Only mine."})
    assert late.status_code == 409
    assert f"{floor.cast.teacher.name} changed these words" in late.content.decode()
    assert "Only mine." in late.content.decode()
    row = SheetWords.objects.get()
    assert own_words(client, floor, "agreement", **words | {"rules": "Both."}, instead_of=row.pk).status_code == 302


@pytest.mark.parametrize(
    ("rules", "said"),
    [
        ("", "This field is required."),
        ("\n".join("x" * 30), "At most 24 lines fit on the sheet; here are 30."),
        ("Short.\n" + "x" * 201, "Line 2 is longer than 200 letters."),
    ],
)
def test_wording_that_does_not_fit_is_refused_and_kept_in_the_form(
    client: Client, floor: Floor, rules: str, said: str
) -> None:
    words = {"intro": "Read this.", "rules": rules, "promise": "I will.", "guardian": "We read it."}
    response = own_words(client, floor, "agreement", **words)
    assert response.status_code == 422
    assert said in response.content.decode()
    assert "We read it." in response.content.decode()
    assert not SheetWords.objects.exists()


# Rule posters


def test_a_poster_carries_its_rule_and_reason(client: Client, floor: Floor) -> None:
    text = looking.text(make(client, floor, "rule-poster", rule=f"{floor.saw_bank.pk}:r1", paper="tabloid"))
    assert "Keep rule number 1." in text
    assert "A low guard keeps your hand off the blade." in text


def test_rule_of_another_school_is_refused(client: Client, floor: Floor) -> None:
    sent = {"paper": "letter", "rule": f"{floor.far_saw.kind.bank_id}:r1"}
    assert client.post(reverse("print-make", args=[floor.cast.shop.pk, "rule-poster"]), sent).status_code == 422


# At the machine


def test_tag_is_offered_for_machines_that_are_tagged_out(client: Client, floor: Floor) -> None:
    address = reverse("print-make", args=[floor.cast.shop.pk, "tag"])
    refused = client.post(address, {"paper": "a6"})
    assert refused.status_code == 422
    assert "No machine of this shop is tagged out." in refused.content.decode()
    tag_out(machine=floor.drill_1, reason="Belt torn", by=floor.cast.teacher, tap=uuid.uuid4(), at=NOON)
    pdf = make(client, floor, "tag", paper="a6", machine=floor.drill_1.pk)
    assert looking.page_sizes(pdf) == [pytest.approx((105, 148), abs=0.1)]
    assert "Belt torn" in looking.text(pdf)
    assert client.post(address, {"paper": "a6", "machine": floor.saw_2.pk}).status_code == 422


def test_inspection_sheets_are_offered_on_both_papers(client: Client, floor: Floor) -> None:
    assert reverse("incidents") in room(client)
    for paper, wide in (("letter", 215.9), ("a4", 210)):
        pdf = make(client, floor, "inspection-sheets", paper=paper, interval="weekly")
        assert looking.page_sizes(pdf)[0][0] == pytest.approx(wide, abs=0.1)
        assert "Band saw 2" in looking.text(pdf)
