"""What a substitute reads on every page: whether machines run today, and who may use what."""

import re
from uuid import uuid4

import pytest
from django.test import Client

from machines.tag_outs.acts import tag_out
from shopsafe.school.sheet_words.acts import set_words
from tests.cast import Cast
from tests.counting import queries
from tests.factories.machines import NOON, Floor
from tests.factories.people import PersonFactory, SectionFactory
from tests.factories.substitutes import granted, with_number
from tests.pages.machines.reading import main_of

NOTHING = "No machine runs today."


@pytest.fixture
def substitute(client: Client, cast: Cast, floor: Floor) -> Client:
    """One student is cleared, one is ready to show, one machine is tagged out."""
    floor.make_cleared(cast.student)
    floor.make_ready(cast.classmate)
    tag_out(machine=floor.drill_1, reason="Chuck cracked.", by=cast.teacher, tap=uuid4(), at=NOON)
    client.force_login(cast.substitute)
    return client


def let_run(cast: Cast) -> None:
    words = {"runs": True, "call": ["Office: 204"], "notes": ["The key is with the caretaker."]}
    set_words(shop=cast.shop, sheet="substitute", words=words, instead_of=0, by=cast.teacher, at=NOON)
    granted(cast)


def plain(page: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", page))


@pytest.mark.parametrize("place", ["/today/", "/machines/", "/machines/{saw}/", "/classes/{section}/register/"])
def test_every_page_says_that_no_machine_runs_until_the_shop_says_so(
    substitute: Client, cast: Cast, floor: Floor, place: str
) -> None:
    address = place.format(saw=floor.saw_2.pk, section=cast.section.pk)
    before = main_of(substitute.get(address)).count(NOTHING)
    let_run(cast)
    assert main_of(substitute.get(address)).count(NOTHING) == before - 1, "the shop next door has said nothing"


def test_no_one_is_named_where_nothing_runs(substitute: Client, cast: Cast) -> None:
    assert cast.student.short_name not in main_of(substitute.get("/today/"))


def test_a_machine_names_those_who_may_use_it_another_day(substitute: Client, cast: Cast, floor: Floor) -> None:
    page = plain(main_of(substitute.get(f"/machines/{floor.saw_2.pk}/")))
    assert "Only these people may use it" not in page
    assert f"No one may use it today When its teacher is back, only these people: {cast.student.short_name}" in page
    let_run(cast)
    assert f"Only these people may use it {cast.student.short_name}" in plain(
        main_of(substitute.get(f"/machines/{floor.saw_2.pk}/"))
    )


def test_today_names_who_may_use_what_and_no_one_else(substitute: Client, cast: Cast) -> None:
    let_run(cast)
    page = plain(main_of(substitute.get("/today/")))
    assert "Only these machines. Only these people." in page
    assert f"Band saw 2 {cast.student.name} Stays off Drill press 1 Tagged out: Chuck cracked." in page
    assert "Band saw 3 No one is cleared." in page
    assert "Press the stop, then call: Office: 204 From the teacher The key is with the caretaker." in page
    assert cast.classmate.short_name not in page
    assert "Ready for sign-off" not in page


@pytest.mark.parametrize("place", ["/today/", "/machines/", "/machines/{saw}/", "/classes/{section}/register/"])
def test_shop_that_allows_it_runs_nothing_until_supervising_is_granted(
    substitute: Client, cast: Cast, floor: Floor, place: str
) -> None:
    with_number(cast)
    address = place.format(saw=floor.saw_2.pk, section=cast.section.pk)
    before = plain(main_of(substitute.get(address)))
    assert "class by class. No one has. Ask the office." in before
    granted(cast)
    assert main_of(substitute.get(address)).count(NOTHING) == before.count(NOTHING) - 1


def test_grant_of_one_class_lets_no_other_class_run(substitute: Client, cast: Cast) -> None:
    other = SectionFactory(shop=cast.shop, term=cast.section.term)
    let_run(cast)
    assert NOTHING in main_of(substitute.get(f"/classes/{other.pk}/register/"))


def test_grant_of_another_substitute_lets_this_one_run_nothing(substitute: Client, cast: Cast) -> None:
    with_number(cast)
    granted(cast, to=PersonFactory(school=cast.school, role="substitute"))
    page = main_of(substitute.get("/today/"))
    assert NOTHING in page
    assert cast.student.name not in page


def test_today_says_the_work_what_is_out_of_use_and_that_a_number_is_missing(substitute: Client, cast: Cast) -> None:
    page = plain(main_of(substitute.get("/today/")))
    assert "Out of use Drill press 1 : Tagged out. Chuck cracked." in page
    assert "No number is here yet." in page
    with_number(cast, runs=False, work=[f"{cast.section.name}: box lids", "Sweep up."])
    page = plain(main_of(substitute.get("/today/")))
    assert "Work: box lids" in page
    assert "Work Sweep up." in page
    assert "No number is here yet." not in page


def test_there_is_nothing_to_press(substitute: Client, cast: Cast) -> None:
    let_run(cast)
    page = main_of(substitute.get("/today/"))
    assert "<button" not in page
    assert "sign-off" not in page
    assert f"/classes/{cast.section.pk}/substitute-sheet/" in page


def test_teacher_does_not_see_the_substitute_notice(client: Client, cast: Cast, floor: Floor) -> None:
    client.force_login(cast.teacher)
    for address in ("/today/", "/machines/", f"/machines/{floor.saw_2.pk}/"):
        assert NOTHING not in main_of(client.get(address))


def test_more_classes_cost_no_more_queries(substitute: Client, cast: Cast) -> None:
    let_run(cast)
    substitute.get("/today/")  # what a worker keeps from the first page on is not asked for again
    with queries() as few:
        substitute.get("/today/")
    for _ in range(3):
        SectionFactory(shop=cast.shop, term=cast.section.term)
    with queries() as many:
        substitute.get("/today/")
    assert len(many) == len(few), "\n".join(set(many) ^ set(few))
