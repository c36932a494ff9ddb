"""The people of a test: those who may, and everyone who must be refused."""

from dataclasses import dataclass

from shopsafe.school.models import Person, School, Section, Shop
from tests.factories.kept import kept
from tests.factories.people import (
    EnrollmentFactory,
    PersonFactory,
    SchoolFactory,
    SectionFactory,
    ShopFactory,
    TeacherFactory,
)


@dataclass
class Cast:
    """One shop with two classes, and a school next door with the same."""

    school: School
    shop: Shop
    section: Section
    teacher: Person  # teaches the section, in the shop
    colleague: Person  # teaches in the same shop, another class
    other_teacher: Person  # same school, another shop
    substitute: Person
    office: Person
    student: Person
    classmate: Person
    stranger_school: School
    stranger_teacher: Person
    stranger_student: Person
    stranger_section: Section

    @property
    def not_teachers(self) -> list[Person]:
        """Everyone who may not do what only a teacher of the shop does."""
        return [
            self.student,
            self.classmate,
            self.substitute,
            self.office,
            self.other_teacher,
            self.stranger_teacher,
            self.stranger_student,
        ]

    @property
    def not_office(self) -> list[Person]:
        """Everyone who may not do what only the office does."""
        rest = [person for person in self.not_teachers if person != self.office]
        return [self.teacher, self.colleague, *rest]


@kept
def make_cast() -> Cast:
    school, next_door = SchoolFactory(), SchoolFactory()
    section, shop = _section(school)
    far_section, far_shop = _section(next_door)
    teacher, colleague, other = (TeacherFactory(school=school) for _ in range(3))
    far_teacher = TeacherFactory(school=next_door)
    shop.teachers.add(teacher, colleague)
    section.teachers.add(teacher)
    ShopFactory(school=school).teachers.add(other)
    far_shop.teachers.add(far_teacher)
    far_section.teachers.add(far_teacher)
    return Cast(
        school=school,
        shop=shop,
        section=section,
        teacher=teacher,
        colleague=colleague,
        other_teacher=other,
        substitute=PersonFactory(school=school, role="substitute"),
        office=PersonFactory(school=school, role="office"),
        student=EnrollmentFactory(section=section).student,
        classmate=EnrollmentFactory(section=section).student,
        stranger_school=next_door,
        stranger_teacher=far_teacher,
        stranger_student=EnrollmentFactory(section=far_section).student,
        stranger_section=far_section,
    )


def _section(school: School) -> tuple[Section, Shop]:
    section = SectionFactory(shop__school=school)
    return section, section.shop
