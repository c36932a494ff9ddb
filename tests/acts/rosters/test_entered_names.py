"""Names as acts take them: cleaned, or refused with the place named. Forms say the same sentence at the field."""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.test import Client

from machines.models import Machine
from machines.setting_up.acts.kinds import add_kind, change_kind
from machines.setting_up.acts.machines import NewMachine, add_machine, add_machines, rename_machine
from shopsafe.school.people.acts.names import correct_name
from shopsafe.school.places.acts.set_up import add_section, add_shop, add_staff, add_term, rename_section, rename_shop
from shopsafe.school.refusals import Refused
from shopsafe.school.rosters.acts import add_student
from tests.acts.reading import code_of
from tests.factories.machines import NOON, BankFactory, Floor
from tests.factories.people import EnrollmentFactory, SectionFactory, ShopFactory

LISTS = {"demonstration": ["Sets the fence"]}
PASSWORD = "nine teak boards planed true"
TERM = {"first_day": date(2027, 1, 18), "last_day": date(2027, 6, 4)}

type Deed = Callable[[Floor, str], Any]
DEEDS: dict[str, Deed] = {
    "machine": lambda f, n: add_machine(shop=f.cast.shop, kind=f.saw_2.kind, by=f.cast.teacher, at=NOON, name=n),
    "machines": lambda f, n: add_machines(
        shop=f.cast.shop, wanted=[NewMachine(f.saw_2.kind, 77, n)], by=f.cast.teacher, at=NOON
    ),
    "rename machine": lambda f, n: rename_machine(machine=f.saw_2, number=2, name=n, by=f.cast.teacher, at=NOON),
    "kind": lambda f, n: add_kind(
        bank=BankFactory(school=f.cast.school), name=n, stop="Press it.", lists=LISTS, by=f.cast.teacher, at=NOON
    ),
    "change kind": lambda f, n: change_kind(
        kind=f.saw_2.kind, name=n, stop="Press it.", lists=LISTS, by=f.cast.teacher, at=NOON
    ),
    "term": lambda f, n: add_term(name=n, by=f.cast.office, at=NOON, **TERM),
    "shop": lambda f, n: add_shop(name=n, teachers=[], by=f.cast.office, at=NOON),
    "rename shop": lambda f, n: rename_shop(shop=f.cast.shop, name=n, by=f.cast.office, at=NOON),
    "class": lambda f, n: add_section(
        name=n, term=f.cast.section.term, shop=f.cast.shop, teachers=[], by=f.cast.office, at=NOON
    ),
    "rename class": lambda f, n: rename_section(section=f.cast.section, name=n, by=f.cast.office, at=NOON),
    "staff": lambda f, n: add_staff(name=n, role="teacher", password=PASSWORD, shops=[], by=f.cast.office, at=NOON),
}


@pytest.mark.parametrize("deed", DEEDS)
def test_a_control_character_or_an_emoji_in_a_name_is_refused_with_its_place(floor: Floor, deed: str) -> None:
    for name, place in (("Saw \x07", "Character 5 (U+0007)"), ("Saw \U0001f600", "Character 5 (U+1F600)")):
        with pytest.raises(Refused, match=r"^(The n|Your n)ame.* can't be printed\.") as refused:
            DEEDS[deed](floor, name)
        assert (refused.value.code, refused.value.status) == ("name.character", 422)
        assert place in refused.value.sentence


def name_of(row: Any) -> str:
    return str((row[0] if isinstance(row, list) else row).name)


@pytest.mark.parametrize("deed", DEEDS)
def test_a_line_break_and_a_turned_direction_are_taken_out_of_a_name(floor: Floor, deed: str) -> None:
    assert name_of(DEEDS[deed](floor, "\u202eSaw\n of\u2069 ours ")) == "Saw of ours"


def test_a_text_of_a_machine_type_that_no_print_can_show_is_refused(floor: Floor) -> None:
    def change(stop: str, point: str) -> object:
        lists = {"demonstration": [point]}
        return change_kind(kind=floor.saw_2.kind, name="Saw", stop=stop, lists=lists, by=floor.cast.teacher, at=NOON)

    assert code_of(lambda: change("Press\x07 it.", "Sets the fence")) == "name.character"
    assert code_of(lambda: change("Press it.", "Sets \u202ethe fence")) == "name.character"


def test_a_student_s_name_is_held_to_the_same(floor: Floor) -> None:
    cast = floor.cast
    who = {"section": cast.section, "by": cast.teacher, "at": NOON}
    assert code_of(lambda: correct_name(student=cast.student, given="Uma\x07", family="", **who)) == "name.to-fix"
    assert code_of(lambda: add_student(name="Uma \U0001f600", local_id="S9", **who)) == "student.to-fix"


def test_the_form_of_a_machine_says_where_the_character_is(client: Client, floor: Floor) -> None:
    client.force_login(floor.cast.teacher)
    page = client.post(f"/machines/{floor.saw_2.pk}/change/", {"number": "2", "name": "Saw \x07"})
    assert page.status_code == 422
    assert "Character 5 (U+0007) is a control character." in page.content.decode()
    assert Machine.objects.get(pk=floor.saw_2.pk).name == floor.saw_2.name


def test_a_name_of_two_alphabets_is_kept_and_warned_of(client: Client, floor: Floor) -> None:
    client.force_login(floor.cast.teacher)
    page = client.post(f"/machines/{floor.saw_2.pk}/change/", {"number": "2", "name": "Sаw"}, follow=True)
    assert "mixes Latin and Cyrillic letters" in page.content.decode()
    assert Machine.objects.get(pk=floor.saw_2.pk).name == "Sаw"


def test_the_preview_of_a_class_list_names_no_student_out_of_the_teacher_s_reach(client: Client, floor: Floor) -> None:
    cast = floor.cast
    elsewhere = SectionFactory(shop=ShopFactory(school=cast.school), term=cast.section.term)
    far = EnrollmentFactory(section=elsewhere, student__name="Roberta Bergen", student__local_id="000417").student
    client.force_login(cast.teacher)
    sent = {"text": "Name,ID\nUma Lund,000417\n", "step": "look"}
    text = client.post(f"/people/import/{cast.section.pk}/", sent).content.decode()
    assert "belongs to a student in none of your classes" in text
    assert far.name not in text
    client.force_login(cast.office)
    assert far.name in client.post(f"/people/import/{cast.section.pk}/", sent).content.decode()
