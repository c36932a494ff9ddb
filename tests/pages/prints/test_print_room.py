"""The Print page: what is offered, looked at and made; and the shop's own words on what is handed out."""

import re
import uuid
from datetime import timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from pytest_django import Settings

from machines.models import Print, SignOff
from machines.prints.batches.making import make_waiting
from machines.prints.room.offers import OFFERS
from machines.tag_outs.acts import tag_out
from shopsafe.logbook.models import Entry
from shopsafe.paper.press.render import PrintFailed
from shopsafe.school.models import MeetingTime, Person, Section
from tests.cast import Cast
from tests.counting import queries
from tests.factories.machines import NOON, Floor, signed
from tests.factories.people import EnrollmentFactory, SectionFactory
from tests.factories.prints import chart_hung, hung
from tests.factories.substitutes import with_number
from tests.pages.prints.printing import make, room
from tests.paper import looking

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]


def test_codes_that_other_devices_cannot_open_show_a_warning(client: Client, floor: Floor, settings: Settings) -> None:
    settings.SITE_URL = "http://127.0.0.1:8000"
    assert "The codes on these sheets name this computer alone (127.0.0.1:8000)." in room(client)
    settings.SITE_URL = "https://shop.alderbeck.example"
    assert "this computer alone" not in room(client)


def test_the_class_of_the_hour_is_the_one_chosen_first(client: Client, floor: Floor) -> None:
    first = floor.cast.section
    second = SectionFactory(shop=first.shop, term=first.term, name=f"{first.name}, second group")
    second.teachers.add(floor.cast.teacher)
    assert f'<option value="{first.pk}" selected>' in room(client, what="wall-chart")
    begins = NOON.astimezone(ZoneInfo(first.school.time_zone)) - timedelta(minutes=10)
    MeetingTime.objects.create(section=second, begins=begins.time(), ends=(begins + timedelta(minutes=45)).time())
    assert f'<option value="{second.pk}" selected>' in room(client, what="wall-chart")


# Looking at it first


@pytest.mark.parametrize("what", list(OFFERS))
def test_preview_shows_a_picture_and_records_nothing(client: Client, floor: Floor, what: str) -> None:
    floor.make_cleared(floor.cast.student)
    with_number(floor.cast)
    tag_out(machine=floor.drill_1, reason="Belt torn", by=floor.cast.teacher, tap=uuid.uuid4(), at=NOON)
    entries = Entry.objects.count()
    assert reverse("print-picture", args=[floor.cast.shop.pk, what]) in room(client, what=what)
    picture = client.get(reverse("print-picture", args=[floor.cast.shop.pk, what]))
    assert picture.headers["Content-Type"] == "image/png"
    assert picture.content.startswith(b"\x89PNG")
    assert (Print.objects.count(), Entry.objects.count()) == (0, entries)


def test_looking_without_scripts_comes_back_with_what_was_chosen(client: Client, floor: Floor) -> None:
    sent = {
        "machine": floor.saw_3.pk,
        "section": [floor.cast.section.pk],
        "paper": "a4",
        "metres": "4",
        "look": "first",
    }
    response = client.post(reverse("print-make", args=[floor.cast.shop.pk, "wall-card"]), sent, follow=True)
    text = response.content.decode()
    assert "csrfmiddlewaretoken" not in response.redirect_chain[0][0]
    assert f'<option value="{floor.saw_3.pk}" selected>' in text
    assert '<option value="a4" selected>' in text
    assert f"picture.png?shop={floor.cast.shop.pk}&amp;what=wall-card&amp;machine={floor.saw_3.pk}" in text
    assert not Print.objects.exists()


def test_a_choice_that_cannot_be_printed_says_why_and_has_no_picture(client: Client, floor: Floor) -> None:
    query = {"shop": floor.cast.shop.pk, "what": "wall-chart", "paper": "letter", "section": floor.cast.section.pk}
    text = room(client, **query)
    assert "There is nothing to look at yet." in text
    assert "picture.png" not in text
    assert client.get(reverse("print-picture", args=[floor.cast.shop.pk, "wall-chart"]), query).status_code == 404


# Cards of several machines and classes


def test_every_machine_s_card_comes_in_one_tagged_file(client: Client, floor: Floor) -> None:
    pdf = make(client, floor, "wall-card", machine="", metres="3")
    assert Print.objects.count() == 3 == len(looking.page_sizes(pdf))
    text = looking.text(pdf)
    for machine in (floor.saw_2, floor.saw_3, floor.drill_1):
        assert str(machine).upper() in text
    assert looking.structure(pdf)["tags"]["/H1"] == 3
    assert looking.qpdf_complaints(pdf) == ""


def test_card_for_several_classes_is_printed_again_for_them(client: Client, floor: Floor) -> None:
    other = Section.objects.create(
        school=floor.cast.school, term=floor.cast.section.term, shop=floor.cast.shop, name="Other class"
    )
    both = [floor.cast.section.pk, other.pk]
    assert f"{floor.cast.section.name}, Other class" in looking.text(
        make(client, floor, "wall-card", machine=floor.saw_2.pk, section=both, metres="3")
    )
    assert {section.pk for section in Print.objects.get().sections.all()} == set(both)
    assert room(client).count('<input type="hidden" name="section"') == 2


# Pocket cards


def test_only_outdated_pocket_cards_are_made_again(client: Client, floor: Floor, cast: Cast) -> None:
    for student in (cast.student, cast.classmate):
        floor.make_cleared(student)
    signed(cast.student, floor.saw_3, cast.teacher)
    pdf = make(client, floor, "pocket-cards", which="all", backs="on")
    rows = {row.student_id: row for row in Print.objects.all()}
    assert set(rows) == {cast.student.pk, cast.classmate.pk}
    text = looking.text(pdf)
    for row in rows.values():
        assert row.code in text
        assert "Current" in Client().get(f"/C/{row.code}").content.decode()
    assert "pocket card" not in room(client).split("</nav>")[-1].split("<h2")[0]
    SignOff.objects.filter(machine=floor.saw_3).update(
        withdrawn_at=NOON, withdrawn_by=cast.teacher, withdrawn_reason="Not on this machine."
    )
    assert "1 pocket card of" in room(client)
    assert "Out of date" in Client().get(f"/C/{rows[cast.student.pk].code}").content.decode()
    again = looking.text(make(client, floor, "pocket-cards", which="stale"))
    assert cast.student.name in again
    assert cast.classmate.name not in again
    assert Print.objects.filter(replaced_at=None).count() == 2


def test_student_without_a_machine_gets_no_pocket_card(client: Client, floor: Floor, cast: Cast) -> None:
    address = reverse("print-make", args=[cast.shop.pk, "pocket-cards"])
    sent = {"paper": "letter", "section": cast.section.pk, "which": "all"}
    refused = client.post(address, sent)
    assert (refused.status_code, Print.objects.count()) == (409, 0)
    assert "These students may use no machine now." in refused.content.decode()
    floor.make_cleared(cast.student)
    text = looking.text(make(client, floor, "pocket-cards", which="all"))
    assert cast.student.name in text
    assert cast.classmate.name not in text
    assert "No card yet: 1" in text


def test_card_of_a_student_without_a_machine_is_taken_back(client: Client, floor: Floor, cast: Cast) -> None:
    sign_off = floor.make_cleared(cast.student)
    make(client, floor, "pocket-cards", which="all")
    sign_off.withdrawn_at, sign_off.withdrawn_by, sign_off.withdrawn_reason = NOON, cast.teacher, "Wrong student."
    sign_off.save()
    before = room(client)
    assert "Collect 1 pocket card" in before
    assert f"<b>{cast.student.name}</b>" in before
    assert "out of date" not in before, "a card with no machine can't be printed again"
    code = Print.objects.get().code
    answer = client.post(reverse("print-take-down", args=[cast.shop.pk, code]), follow=True).content.decode()
    assert f"Pocket card {code} is back." in answer
    assert "Collect" not in answer
    assert "Given back on" in Client().get(f"/C/{code}").content.decode()


def test_pocket_card_has_no_machine_that_is_tagged_out(client: Client, floor: Floor, cast: Cast) -> None:
    floor.make_cleared(cast.student)
    signed(cast.student, floor.saw_3, cast.teacher)
    make(client, floor, "pocket-cards", which="all")
    card = Print.objects.get()
    tag_out(machine=floor.saw_3, reason="Belt torn", by=cast.teacher, tap=uuid.uuid4(), at=NOON)
    assert "Out of date" in Client().get(f"/C/{card.code}").content.decode()
    assert "pocket card" not in room(client).split("</nav>")[-1].split("<h2")[0], "no new cards for a few days"
    text = looking.text(make(client, floor, "pocket-cards", which="all"))
    assert "Band saw 2" in text
    assert "Band saw 3" not in text


def test_no_pocket_card_out_of_date_says_so(client: Client, floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    make(client, floor, "pocket-cards", which="all")
    sent = {"paper": "letter", "section": floor.cast.section.pk, "which": "stale"}
    response = client.post(reverse("print-make", args=[floor.cast.shop.pk, "pocket-cards"]), sent)
    assert response.status_code == 409
    assert "Every pocket card of this class is right." in response.content.decode()


def test_as_many_queries_for_a_larger_class(client: Client, floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    make(client, floor, "pocket-cards", which="all")
    room(client)
    with queries() as few:
        room(client)
    for enrollment in EnrollmentFactory.create_batch(10, section=floor.cast.section):
        floor.make_cleared(enrollment.student)
    make(client, floor, "pocket-cards", which="all")
    with queries() as many:
        room(client)
    assert len(few) == len(many)


@pytest.mark.parametrize("what", ["wall-card", "wall-chart", "pocket-cards"])
def test_unprintable_name_shows_an_error_and_records_nothing(client: Client, floor: Floor, what: str) -> None:
    floor.make_cleared(floor.cast.student)
    Person.objects.filter(pk=floor.cast.student.pk).update(name="Ana 𒀀", given_name="Ana", family_name="𒀀")
    paper = {"wall-chart": "tabloid"}.get(what, "letter")
    sent = {"paper": paper, "section": floor.cast.section.pk, "machine": floor.saw_2.pk, "metres": "3", "which": "all"}
    response = client.post(reverse("print-make", args=[floor.cast.shop.pk, what]), sent)
    assert response.status_code == 422
    assert "No font here can draw “𒀀” in “" in response.content.decode()
    assert not Print.objects.exists()


# A print that fails


FAILING = {
    "print.too-slow": PrintFailed("print.too-slow", "This print took longer than 60 seconds and was stopped."),
    "print.too-big": PrintFailed("print.too-big", "This print needs too much memory. Print fewer at once."),
}


@pytest.mark.parametrize("code", list(FAILING))
@pytest.mark.parametrize("what", ["wall-card", "wall-chart", "pocket-cards"])
def test_a_press_that_fails_leaves_what_hung_and_the_message_says_so(
    client: Client, floor: Floor, monkeypatch: pytest.MonkeyPatch, what: str, code: str
) -> None:
    paper = "tabloid" if what == "wall-chart" else "letter"
    sent = {"paper": paper, "section": floor.cast.section.pk, "machine": "", "metres": "3", "which": "all"}
    floor.make_cleared(floor.cast.classmate)
    make(client, floor, what, **sent)
    before = list(Print.objects.values())
    entries = Entry.objects.count()
    floor.make_cleared(floor.cast.student)

    def fails(*args: Any, **more: Any) -> bytes:
        raise FAILING[code]

    monkeypatch.setattr("shopsafe.paper.press.render.to_pdf", fails)
    response = client.post(reverse("print-make", args=[floor.cast.shop.pk, what]), sent)
    text = response.content.decode()
    assert response.status_code == 503
    assert f"{FAILING[code].sentence} Nothing was recorded: posted cards and pocket cards stay valid." in text
    assert f'<option value="{paper}" selected>' in text, "the form is as it was sent"
    assert (list(Print.objects.values()), Entry.objects.count()) == (before, entries)


# Sets


@pytest.fixture
def shelf(settings: Settings, tmp_path: Path) -> None:
    settings.PRINTS = tmp_path


def ask(client: Client, floor: Floor, **sent: Any) -> Any:
    data = {"paper": "letter", "metres": "3", "pockets": "on", "key": str(uuid.uuid4())} | sent
    return client.post(reverse("print-set-ask", args=[floor.cast.shop.pk, "monday"]), data)


@pytest.mark.usefixtures("shelf")
def test_a_set_is_asked_for_watched_and_fetched(client: Client, floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    assert 'name="key"' in room(client, what="monday")
    page = ask(client, floor).headers["Location"]
    assert "Waiting for its turn" in client.get(page).content.decode()
    make_waiting()
    part = client.get(page, {"part": "progress"}).content.decode()
    assert part.strip().startswith('<div id="progress"')
    assert "6 files in one." in part
    assert "hx-get" not in part, "nothing more is asked for"
    fetched = client.get(f"{page}set.zip")
    assert fetched.headers["Content-Type"] == "application/zip"
    assert re.search(
        r'attachment; filename="Everything for Monday, .+, \d{4}-\d\d-\d\d\.zip"',
        fetched.headers["Content-Disposition"],
    )
    assert b"".join(fetched.streaming_content).startswith(b"PK")  # type: ignore[attr-defined]
    assert "Everything for Monday" in room(client, what="monday")


@pytest.mark.usefixtures("shelf")
def test_print_batch_is_for_the_person_who_asked_for_it(client: Client, floor: Floor) -> None:
    page = ask(client, floor).headers["Location"]
    for person in (floor.cast.colleague, floor.cast.office, floor.cast.stranger_teacher):
        other = Client()
        other.force_login(person)
        assert other.get(page).status_code == 404, person


@pytest.mark.usefixtures("shelf")
def test_a_set_is_stopped_and_started_again(client: Client, floor: Floor) -> None:
    page = ask(client, floor).headers["Location"]
    assert "Start again" in client.post(f"{page}stop/", follow=True).content.decode()
    assert "Waiting for its turn" in client.post(f"{page}again/", follow=True).content.decode()


@pytest.mark.usefixtures("shelf")
def test_a_set_no_one_took_up_gets_another_worker(
    client: Client, floor: Floor, monkeypatch: pytest.MonkeyPatch
) -> None:
    woken: list[int] = []
    monkeypatch.setattr("machines.prints.batches.views.start_worker", lambda: woken.append(1))
    page = ask(client, floor).headers["Location"]
    client.get(page)
    assert len(woken) == 1
    with time_machine.travel(NOON + timedelta(minutes=6), tick=False):
        client.get(page)
    assert len(woken) == 2


def test_unknown_paper_size_shows_an_error(client: Client, floor: Floor) -> None:
    response = ask(client, floor, paper="a9")
    assert response.status_code == 422
    assert "Error: Print" in response.content.decode()


@pytest.mark.usefixtures("shelf")
def test_outdated_sheets_are_printed_again_in_one_file(client: Client, floor: Floor) -> None:
    hung(floor)
    chart_hung(floor)
    assert "Print just these again" not in room(client)
    floor.make_cleared(floor.cast.student)
    text = room(client)
    assert "Print just these again" in text
    key_match = re.search(r'sets/stale/">.*?name="key" value="([0-9a-f-]+)"', text, re.DOTALL)
    assert key_match
    sent = client.post(reverse("print-set-ask", args=[floor.cast.shop.pk, "stale"]), {"key": key_match[1]})
    make_waiting()
    assert "2 files in one." in client.get(sent.headers["Location"]).content.decode()
    assert "out of date" not in room(client)
