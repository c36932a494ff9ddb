"""Schools and people for tests, all invented."""

from datetime import date
from typing import Any

import factory

from shopsafe.school.models import Enrollment, Person, School, Section, Shop, Term

CODE = "7K3DQ2XM"
PASSWORD = "plane the long edge"


class SchoolFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = School

    name = factory.Sequence(lambda n: f"Alderbeck School {n}")
    time_zone = "America/Chicago"


class ShopFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Shop

    school = factory.SubFactory(SchoolFactory)
    name = factory.Sequence(lambda n: f"Room W{n}")


class TermFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Term

    school = factory.SubFactory(SchoolFactory)
    name = factory.Sequence(lambda n: f"Term {n}")
    first_day = date(2026, 8, 31)
    last_day = date(2027, 1, 15)


class SectionFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Section

    school = factory.SelfAttribute("shop.school")
    shop = factory.SubFactory(ShopFactory)
    term = factory.SubFactory(TermFactory, school=factory.SelfAttribute("..shop.school"))
    name = factory.Sequence(lambda n: f"9 Teak {n}")


class PersonFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Person

    school = factory.SubFactory(SchoolFactory)
    role = "student"
    given_name = factory.Sequence(lambda n: f"Inga{n}")
    family_name = "Vale"
    name = factory.LazyAttribute(lambda person: f"{person.given_name} {person.family_name}")
    code = CODE

    @classmethod
    def _create(cls, model_class: type[Person], *args: Any, **fields: Any) -> Person:
        return Person.objects.enter(**fields)


class TeacherFactory(PersonFactory):
    role = "teacher"
    code = PASSWORD
    given_name = factory.Sequence(lambda n: f"Odile{n}")
    family_name = "Ferrant"


class EnrollmentFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Enrollment

    school = factory.SelfAttribute("section.school")
    section = factory.SubFactory(SectionFactory)
    student = factory.SubFactory(PersonFactory, school=factory.SelfAttribute("..section.school"))
    from_day = date(2026, 9, 1)
