"""/prints/, and the page behind the code on a card."""

import uuid
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils.html import escape

from machines.models import Print, SignOff
from machines.prints.acts import take_down
from machines.setting_up.acts.machines import retire_machine
from machines.tag_outs.acts import tag_out
from quizzes.banks.editions.texts import frozen
from shopsafe.school.models import School, Section
from tests.cast import Cast
from tests.counting import queries
from tests.factories.bank_texts import GAP
from tests.factories.banks import bank_text
from tests.factories.machines import NOON, EditionFactory, Floor, MachineFactory, agreed, passed, signed
from tests.factories.people import EnrollmentFactory
from tests.factories.prints import chart_hung, hung
from tests.paper import looking

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]


def page(client: Client) -> str:
    return client.get(reverse("prints")).content.decode()


def card(client: Client, floor: Floor, **changes: object) -> Any:
    sent = {"machine": floor.saw_2.pk, "section": floor.cast.section.pk, "paper": "letter", "metres": "3"} | changes
    return client.post(reverse("print-make", args=[floor.cast.shop.pk, "wall-card"]), sent)


def test_a_card_comes_as_a_pdf_under_its_code(client: Client, floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    response = card(client, floor)
    row = Print.objects.get()
    assert response.headers["Content-Type"] == "application/pdf"
    assert response.headers["Content-Disposition"].startswith('inline; filename="Wall-card-')
    assert floor.cast.student.name in looking.text(response.content)
    assert row.code in page(client)


def test_card_has_the_number_in_the_units_of_the_school_for_any_reader(client: Client, floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    School.objects.filter(pk=floor.cast.school.pk).update(conventions="international")
    content, digest = frozen(bank_text(values=(replace(GAP, rule="r0"),)), {})
    EditionFactory(bank=floor.saw_bank, number=2, content=content, digest=digest)
    printed = looking.text(card(client, floor, paper="a4").content)
    assert "1/8 in (3 mm)" in " ".join(printed.split())
    assert "Current" in scan(Print.objects.get().code), "a stranger has no school, but the card has"


def test_the_larger_paper_is_taken_only_where_it_may_be(client: Client, floor: Floor) -> None:
    for student in EnrollmentFactory.create_batch(30, section=floor.cast.section):
        agreed(student.student)
        passed(student.student, floor.general)
        passed(student.student, floor.saw_bank)
        signed(student.student, floor.saw_2, floor.cast.teacher)
    assert looking.page_sizes(card(client, floor).content)[0] == pytest.approx((215.9, 279.4), abs=0.1)
    larger = card(client, floor, larger="on").content
    assert looking.page_sizes(larger) == [pytest.approx((279.4, 431.8), abs=0.1)]


def test_a_chart_comes_as_a_pdf(client: Client, floor: Floor) -> None:
    sent = {"section": floor.cast.section.pk, "paper": "a3", "metres": "2"}
    response = client.post(reverse("print-make", args=[floor.cast.shop.pk, "wall-chart"]), sent)
    assert looking.structure(response.content)["title"] == f"Wall chart: {floor.cast.section.name}"


@pytest.mark.parametrize("wrong", [{"machine": "far"}, {"section": "far"}, {"paper": "a9"}, {"metres": "300"}])
def test_invalid_choice_shows_an_error_and_prints_nothing(client: Client, floor: Floor, wrong: dict[str, str]) -> None:
    far = {"machine": floor.far_saw.pk, "section": floor.cast.stranger_section.pk}
    response = card(client, floor, **{name: far.get(name, value) for name, value in wrong.items()})
    assert response.status_code == 422
    assert "<title>Error: Print" in response.content.decode()
    assert not Print.objects.exists()


def test_says_which_cards_on_the_wall_no_longer_match(client: Client, floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    hung(floor)
    chart_hung(floor)
    assert "out of date" not in page(client)
    SignOff.objects.update(withdrawn_at=NOON, withdrawn_by=floor.cast.teacher, withdrawn_reason="Not on this machine.")
    text = page(client)
    assert "2 of 2 on the wall are out of date" in text
    assert f"{escape(floor.cast.student.short_name)}: no longer on band saw 2" in text
    assert "Take it down." in text


def test_prints_just_those_again(client: Client, floor: Floor) -> None:
    hung(floor)
    floor.make_cleared(floor.cast.student)
    text = page(client)
    assert "now cleared on band saw 2" in text
    assert f'name="machine" value="{floor.saw_2.pk}"' in text
    card(client, floor)
    assert "out of date" not in page(client)


def test_a_tag_out_is_a_reason(client: Client, floor: Floor) -> None:
    row = hung(floor)
    tag_out(machine=floor.saw_2, reason="Cracked", by=floor.cast.teacher, tap=uuid.uuid4(), at=NOON)
    assert "The machine is tagged out" in page(client)
    assert "Out of date" in scan(row.code)


def test_the_card_of_a_machine_that_left_is_not_offered_again(client: Client, floor: Floor) -> None:
    row = hung(floor)
    assert f'aria-label="Print again: {row}"' in page(client)
    retire_machine(machine=floor.saw_2, by=floor.cast.teacher, at=NOON)
    page_text = page(client)
    assert f'aria-label="Print again: {row}"' not in page_text
    assert f'aria-label="Taken down: {row}"' in page_text


def test_a_card_that_names_no_one_holds_until_there_is_a_new_one(client: Client, floor: Floor) -> None:
    words = " ".join(looking.text(card(client, floor).content).split())
    assert "October 12, 2026 a new one is printed Reads from" in words


def test_taken_down_is_off_the_list(client: Client, floor: Floor) -> None:
    row = hung(floor)
    response = client.post(reverse("print-take-down", args=[floor.cast.shop.pk, row.code]), follow=True)
    assert f"{row} is off the wall." in response.content.decode()
    assert "Nothing has been printed" in page(client)


def test_as_many_queries_for_ten_cards_as_for_one(client: Client, floor: Floor) -> None:
    hung(floor)
    page(client)
    with queries() as first_queries:
        page(client)
    for machine in MachineFactory.create_batch(9, shop=floor.cast.shop, kind=floor.saw):
        hung(floor, machine)
    with queries() as later_queries:
        page(client)
    assert len(later_queries) == len(first_queries)


def test_empty_shops_say_why(client: Client, cast: Cast) -> None:
    assert "This shop has no machines yet" in page(client)


def test_a_shop_without_a_class_this_term_says_so(client: Client, floor: Floor) -> None:
    Section.objects.filter(pk=floor.cast.section.pk).update(term=floor.cast.stranger_section.term)
    floor.cast.section.term.__class__.objects.update(last_day=NOON.date() - timedelta(days=1))
    assert "No class is taught in this shop this term" in page(client)


def scan(code: str) -> str:
    """What anyone with a telephone reads, who is not signed in."""
    return Client().get(f"/C/{code.upper()}").content.decode()


def test_a_scanned_code_says_current_and_names_no_one(floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    row = hung(floor)
    text = scan(row.code)
    assert "Current" in text
    assert "Band saw 2" in text
    for person in (floor.cast.student, floor.cast.teacher):
        assert person.name not in text
    assert Client().get(f"/c/{row.code.lower().replace('-', '')}/").content.decode().count("Current") == 1


def test_a_scanned_code_says_out_of_date_replaced_or_taken_down(floor: Floor) -> None:
    old = hung(floor)
    floor.make_cleared(floor.cast.student)
    assert "Out of date" in scan(old.code)
    new = hung(floor, at=NOON + timedelta(minutes=1))
    assert "Replaced on October 12, 2026" in scan(old.code)
    assert "Current" in scan(new.code)
    take_down(printed=new, by=floor.cast.teacher, at=NOON + timedelta(minutes=2))
    assert "Taken down on October 12, 2026" in scan(new.code)


@pytest.mark.parametrize("code", ["7K3D-QV", "AAAA-AA", "7K3D-Q"])
def test_a_code_no_one_printed_is_not_found(floor: Floor, code: str) -> None:
    assert Client().get(f"/c/{code}/").status_code == 404
