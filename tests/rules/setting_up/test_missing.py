"""What the office's first page says is missing."""

from dataclasses import replace
from datetime import date

from shopsafe.school.places.rules import SchoolFacts, TermDays, missing

TODAY = date(2026, 12, 1)
AUTUMN = TermDays("Fall 2026", date(2026, 8, 31), date(2027, 1, 15))
WHOLE = SchoolFacts(shops=1, terms=[AUTUMN], classes=2)


def sentences(facts: SchoolFacts, today: date = TODAY) -> list[str]:
    return [line.sentence for line in missing(facts, today)]


def test_nothing_is_missing_from_a_whole_school() -> None:
    assert sentences(WHOLE) == []


def test_empty_school_needs_a_shop_and_a_term_first() -> None:
    pages = [line.page for line in missing(SchoolFacts(shops=0, terms=[], classes=0), TODAY)]
    assert pages == ["shop-add", "term-add"]
    assert sentences(replace(WHOLE, classes=0)) == ["There is no class in this term."]


def test_term_that_ends_within_two_weeks_is_listed_unless_the_next_is_there() -> None:
    assert sentences(WHOLE, date(2026, 12, 31)) == []
    assert sentences(WHOLE, date(2027, 1, 1)) == [
        "Fall 2026 ends soon, and with it every clearance. Add the next term."
    ]
    assert sentences(WHOLE, date(2027, 1, 16)) == ["Fall 2026 is over. Add the next term."]
    spring = TermDays("Spring 2027", date(2027, 1, 18), date(2027, 6, 4))
    assert sentences(replace(WHOLE, terms=[spring, AUTUMN]), date(2027, 1, 16)) == []


def test_teachers_classes_and_students_that_miss_something_are_counted_or_named() -> None:
    facts = replace(
        WHOLE,
        shopless_teachers=["Mr Bexley"],
        without_teacher=["9 Oak"],
        without_students=["9 Oak", "9 Ash"],
        without_agreement=1,
        without_slip=12,
    )
    assert sentences(facts) == [
        "In no shop yet, and so without any class or machine: Mr Bexley.",
        "Classes without a teacher: 9 Oak.",
        "Classes without students: 9 Oak, 9 Ash.",
        "1 student without a safety agreement.",
        "12 students without a sign-in slip.",
    ]
