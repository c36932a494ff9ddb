"""Wherever people are listed they are in the order of the names as displayed, by first name; case and accents do not
count."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from shopsafe.school.models import Person
from tests.factories.machines import Floor
from tests.factories.people import EnrollmentFactory, PersonFactory, TeacherFactory

pytestmark = pytest.mark.django_db
# By family name, or with letters compared byte by byte, each of these stands elsewhere.
NAMES = [("Ada", "Zeller"), ("élan", "Marsh"), ("Lior", "Brandt"), ("Łukasz", "Abel"), ("Mae", "Quill")]
SHOWN = [given for given, _ in NAMES]


@pytest.fixture
def students(floor: Floor) -> None:
    """Five students who passed everything the saw asks for, entered in another order."""
    section = floor.cast.section
    for given, family in reversed(NAMES):
        enrollment = EnrollmentFactory(section=section, student__given_name=given, student__family_name=family)
        floor.make_ready(enrollment.student)


def shown(person: Person, name: str, *args: int, **query: object) -> list[str]:
    client = Client()
    client.force_login(person)
    response = client.get(reverse(name, args=args), query)
    assert response.status_code == 200
    text = response.content.decode().split("<main", 1)[1]
    listed = [given for given in SHOWN if given in re.findall(r"[^\W\d_]+", text)]
    assert len(listed) >= 3, name  # Today shows the first three names of a machine type
    return sorted(listed, key=text.index)


@pytest.mark.usefixtures("students")
def test_pages_list_students_by_the_displayed_name(floor: Floor) -> None:
    teacher, section = floor.cast.teacher, floor.cast.section.pk
    pages = [
        ("today", [], {}),
        ("register", [section], {}),
        ("machine", [floor.saw_2.pk], {"class": section}),
        ("sign-off-group", [floor.saw_2.pk], {"class": section}),
        ("plan", [section], {}),
        ("here-today", [section], {}),
        ("class-people", [section], {}),
        ("paper-quizzes", [], {}),
        ("incident-open", [floor.cast.shop.pk], {}),
    ]
    orders = {name: shown(teacher, name, *args, **query) for name, args, query in pages}
    assert orders.pop("today") == SHOWN[:3]
    assert {name: order for name, order in orders.items() if order != SHOWN} == {}


def test_the_office_lists_staff_by_the_displayed_name(floor: Floor) -> None:
    for given, family in reversed(NAMES):
        TeacherFactory(school=floor.cast.school, given_name=given, family_name=family)
    for where in ("office", "class-add"):
        assert shown(floor.cast.office, where) == SHOWN, where


def test_the_office_lists_the_teachers_of_a_class_by_the_displayed_name(floor: Floor) -> None:
    people = [TeacherFactory(school=floor.cast.school, given_name=given, family_name=family) for given, family in NAMES]
    floor.cast.section.teachers.set(people[::-1])
    floor.cast.shop.teachers.set(people[::-1])
    client = Client()
    client.force_login(floor.cast.office)
    text = client.get(reverse("office")).content.decode()
    names = [person.name for person in people]
    cells = re.findall(r'data-label="Teachers">(.*?)<a ', text, re.DOTALL)
    assert [re.findall("|".join(names), cell) for cell in cells if names[0] in cell] == [names, names]


def test_substitutes_are_offered_by_the_displayed_name(floor: Floor) -> None:
    for given, family in reversed(NAMES):
        PersonFactory(school=floor.cast.school, role="substitute", given_name=given, family_name=family)
    assert shown(floor.cast.teacher, "supervising", floor.cast.section.pk) == SHOWN
