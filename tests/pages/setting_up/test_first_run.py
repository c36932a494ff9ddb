"""The five steps of a new shop, from an empty installation on."""

from datetime import UTC, datetime, timedelta

import pytest
from django.test import Client

from quizzes.models import Bank
from shopsafe.school.models import School
from shopsafe.school.signing_in.codes.setup_code import setup_code
from tests.cast import Cast
from tests.factories.machines import Floor
from tests.factories.people import TeacherFactory
from tests.logbook.logbook_bypass import take_out
from tests.shelf.banks import CODES


def filled_in() -> dict[str, str]:
    return {
        "setup_code": setup_code(),
        "name": "Alderbeck School",
        "time_zone": "America/Chicago",
        "teacher_name": "Odile Ferrant",
        "teacher_password": "plumb line and level",
        "office_name": "School office",
        "office_password": "ledger on the top shelf",
    }


def test_an_empty_installation_leads_everyone_to_its_beginning(client: Client, db: None) -> None:
    page = client.get("/first-run/", follow=True)
    assert page.redirect_chain[-1][0] == "/first-run/begin/"
    shown = page.content.decode()
    assert "Setup code" in shown
    assert 'value="Pacific/Auckland"' in shown
    assert 'value="Factory"' not in shown
    assert 'value="localtime"' not in shown


def test_a_stranger_without_the_code_begins_nothing(client: Client, db: None) -> None:
    response = client.post("/first-run/begin/", filled_in() | {"setup_code": "AAAA-AAAA"})
    assert (response.status_code, School.objects.count()) == (422, 0)
    assert "That is not the setup code." in response.content.decode()


def test_setup_code_signs_the_teacher_in_and_loads_starters(client: Client, db: None) -> None:
    page = client.post("/first-run/begin/", filled_in(), follow=True).content.decode()
    assert "Name your shop" in page
    assert set(Bank.objects.values_list("code", flat=True)) == set(CODES)
    sent = {"shop": "Room W2", "section": "9 Teak", "term": "Autumn"}
    wrong = client.post("/first-run/shop/", sent | days(30, 20))
    assert (wrong.status_code, "can&#x27;t be before" in wrong.content.decode()) == (422, True)
    done = client.post("/first-run/shop/", sent | days(-7, 120), follow=True).content.decode()
    assert "Done: Room W2, with the class 9 Teak. Autumn: " in done
    assert "/machines/add/?next=/first-run/" in done
    assert 'href="/people/">Look at your classes' in done


def days(first: int, last: int) -> dict[str, str]:
    today = datetime.now(UTC).date()
    return {
        "first_day": (today + timedelta(days=first)).isoformat(),
        "last_day": (today + timedelta(days=last)).isoformat(),
    }


def test_a_term_that_is_over_is_refused_at_its_last_day(client: Client, db: None) -> None:
    client.post("/first-run/begin/", filled_in())
    response = client.post("/first-run/shop/", {"shop": "W2", "section": "9", "term": "Old"} | days(-90, -2))
    assert response.status_code == 422
    assert 'id="id_last_day_error">The last day of the term is over.' in response.content.decode()


@pytest.mark.parametrize(
    ("sent", "at", "said"),
    [
        ({"office_name": " odile  FERRANT"}, "office_name", "That is your own name too."),
        ({"teacher_password": "short"}, "teacher_password", "too short"),
        ({"office_password": "short"}, "office_password", "too short"),
    ],
)
def test_invalid_field_shows_its_own_error(client: Client, db: None, sent: dict[str, str], at: str, said: str) -> None:
    response = client.post("/first-run/begin/", filled_in() | sent)
    assert response.status_code == 422
    assert said in response.content.decode().split(f'id="id_{at}_error">')[1].split("</p>")[0]


def test_people_leads_a_teacher_without_a_shop_to_the_first_step(client: Client, db: None) -> None:
    client.post("/first-run/begin/", filled_in())
    assert 'href="/first-run/shop/"' in client.get("/people/").content.decode()


def test_people_leads_no_one_else_there(client: Client, cast: Cast) -> None:
    client.force_login(TeacherFactory(school=cast.school))
    assert "Ask there." in client.get("/people/").content.decode()


def test_the_last_step_says_where_the_safety_agreement_is(client: Client, floor: Floor) -> None:
    client.force_login(floor.cast.teacher)
    page = client.get("/first-run/").content.decode()
    address = f"/prints/?shop={floor.cast.shop.pk}&amp;what=safety-agreement"
    assert f'href="{address}"' in page
    assert "<h2>Safety agreement</h2>" in client.get(address.replace("&amp;", "&")).content.decode()


def test_the_last_step_leads_to_the_slips_of_the_class(client: Client, floor: Floor) -> None:
    client.force_login(floor.cast.teacher)
    page = client.get("/first-run/").content.decode()
    address = f"/people/{floor.cast.section.pk}/#slips"
    assert f'href="{address}">Sign-in slips' in page
    assert client.get(address).content.decode().count('id="slips"') == 1


def test_once_there_is_a_school_no_one_begins_again(client: Client, cast: Cast) -> None:
    assert client.post("/first-run/begin/", filled_in()).status_code == 302
    assert School.objects.count() == 2, "the two of the cast"
    assert client.get("/first-run/").headers["Location"].startswith("/sign-in/")


def test_the_steps_of_a_shop_say_what_is_done_and_what_is_next(client: Client, floor: Floor) -> None:
    client.force_login(floor.cast.teacher)
    page = client.get("/first-run/").content.decode()
    assert "Done: 3 machines." in page
    assert "Done: 2 students" in page
    assert "Done: 3 question banks accepted." in page
    assert "Shop setup</a>" in page, "it stands in the navigation until the last step is done"


def test_the_rules_lead_to_every_unread_bank_in_one_sitting(client: Client, floor: Floor) -> None:
    take_out(floor.general.editions.get().acceptances.all())
    take_out(floor.saw_bank.editions.get().acceptances.all())
    client.force_login(floor.cast.teacher)
    sitting = client.get("/first-run/rules/").headers["Location"]
    assert sitting.startswith(f"/banks/accept/?bank={floor.general.pk}&bank={floor.saw_bank.pk}&next=")
    for bank in (floor.general, floor.saw_bank):
        marked = {f"bank-{bank.pk}-edition": 1, f"bank-{bank.pk}-agree": "on"}
        assert client.post(sitting, marked).headers["Location"] == sitting
    assert client.get(sitting).headers["Location"] == "/first-run/"
    assert client.get("/first-run/rules/").headers["Location"] == "/first-run/"


def test_a_next_that_leads_elsewhere_is_not_followed(client: Client, floor: Floor) -> None:
    take_out(floor.general.editions.get().acceptances.all())
    client.force_login(floor.cast.teacher)
    path = f"/banks/{floor.general.pk}/accept/?next=https://elsewhere.example/"
    assert client.post(path, {"edition": 1, "agree": "on"}).headers["Location"] == "/banks/"


def test_teacher_without_a_shop_is_referred_to_the_office(client: Client, cast: Cast) -> None:
    client.force_login(TeacherFactory(school=cast.school))
    assert "you are not in it yet. Ask the office." in client.get("/first-run/").content.decode()


def test_office_reads_that_a_teacher_approves_the_rules(client: Client, floor: Floor) -> None:
    take_out(floor.general.editions.get().acceptances.all())
    client.force_login(floor.cast.office)
    page = client.get("/first-run/").content.decode()
    assert "1 of 3 question banks to read" in page
    assert "A teacher of the shop does this." in page
    assert "/first-run/rules/" not in page


def test_today_says_which_banks_of_my_machines_are_practice_only(client: Client, floor: Floor) -> None:
    client.force_login(floor.cast.teacher)
    assert "practice only" not in client.get("/today/needs/").content.decode()
    take_out(floor.saw_bank.editions.get().acceptances.all())
    assert "<b>1</b> question bank is practice only" in client.get("/today/needs/").content.decode()
