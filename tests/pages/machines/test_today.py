"""Today: the class of the hour, what must not run, whom to watch, and what else needs the teacher."""

import re
from datetime import time, timedelta
from urllib.parse import urljoin
from uuid import uuid4

import pytest
from django.test import Client

from machines.holds.acts import place_hold
from machines.tag_outs.acts import tag_out
from shopsafe.school.models import Section
from shopsafe.school.timetable.acts import NewTime, set_meeting_times
from tests.cast import Cast
from tests.counting import queries
from tests.factories.machines import NOON, Floor
from tests.factories.people import EnrollmentFactory, SectionFactory
from tests.pages.machines.reading import main_of

MOST_QUERIES = 12  # one of them says whether the shops are open


def needs(teacher: Client) -> str:
    return main_of(teacher.get("/today/needs/"))


def test_names_who_is_ready_at_which_machine(teacher: Client, cast: Cast, floor: Floor) -> None:
    floor.make_ready(cast.student)
    page = main_of(teacher.get("/today/"))
    assert f"/machines/{floor.saw_2.pk}/sign-off/{cast.student.pk}/" in page
    assert f"/machines/{floor.drill_1.pk}/sign-off/{cast.student.pk}/" not in page
    assert "<b>1</b> to watch" in page


def test_a_tagged_out_machine_has_no_row_and_its_neighbor_of_the_kind_is_shown(
    teacher: Client, cast: Cast, floor: Floor
) -> None:
    floor.make_ready(cast.student)
    tag_out(machine=floor.saw_2, reason="Guard cracked.", by=cast.colleague, tap=uuid4(), at=NOON)
    page = main_of(teacher.get("/today/"))
    assert f"/machines/{floor.saw_3.pk}/sign-off/{cast.student.pk}/" in page
    assert f"/machines/{floor.saw_2.pk}/sign-off/" not in page
    tag_out(machine=floor.saw_3, reason="Guard cracked.", by=cast.colleague, tap=uuid4(), at=NOON)
    assert "/sign-off/" not in main_of(teacher.get("/today/"))
    assert "No student waits to show a machine." in main_of(teacher.get("/today/"))


def test_lists_the_holds_and_what_is_tagged_out(teacher: Client, cast: Cast, floor: Floor) -> None:
    hold = place_hold(
        student=cast.student, machines=None, reason="dress", lifts="talk", by=cast.teacher, tap=uuid4(), at=NOON
    )
    tag_out(machine=floor.drill_1, reason="Chuck cracked.", by=cast.colleague, tap=uuid4(), at=NOON)
    page = main_of(teacher.get("/today/"))
    assert f"/holds/{hold.pk}/lift/" in page
    assert f"<b>{floor.drill_1}</b> tagged out: Chuck cracked." in page


def test_locked_students_are_unlocked_together(teacher: Client, cast: Cast, floor: Floor) -> None:
    assert "locked" not in needs(teacher)
    for person in (cast.student, cast.stranger_student):
        person.locked_at = NOON - timedelta(minutes=5)
        person.save(update_fields=["locked_at"])
    page = needs(teacher)
    assert "<b>1</b> sign-in locked" in page
    assert f'action="/people/{cast.section.pk}/let-in/?next=/today/"' in page
    assert cast.stranger_student.name not in page
    assert f"Unlock {cast.student.short_name}" in page


def test_names_a_clearance_that_ends_within_two_weeks_and_no_other(teacher: Client, cast: Cast, floor: Floor) -> None:
    floor.make_cleared(cast.student)
    term = cast.section.term
    assert "soon" not in needs(teacher)
    term.last_day = NOON.date() + timedelta(days=10)
    term.save(update_fields=["last_day"])
    assert "expires soon" in needs(teacher)
    assert f"<b>{floor.saw_2}:</b> {cast.student.short_name}" in needs(teacher)


def other_class(cast: Cast) -> Section:
    section = SectionFactory(school=cast.school, term=cast.section.term, shop=cast.shop, name="10 Brass")
    section.teachers.add(cast.teacher)
    return section


def test_row_shows_three_names_and_counts_the_rest(teacher: Client, cast: Cast, floor: Floor) -> None:
    students = [cast.student, *(EnrollmentFactory(section=cast.section).student for _ in range(7))]
    for student in students:
        floor.make_ready(student)
    page = main_of(teacher.get("/today/"))
    assert page.count("/sign-off/") == 3
    assert "5 more<" in page


def test_class_of_the_hour_opens_by_itself_and_otherwise_the_last_one_opened(
    teacher: Client, cast: Cast, floor: Floor
) -> None:
    other = other_class(cast)
    assert "<h1>9 Teak" in main_of(teacher.get("/today/"))
    assert "<h1>10 Brass" in main_of(teacher.get(f"/today/?class={other.pk}"))
    assert "<h1>10 Brass" in main_of(teacher.get("/today/"))
    set_meeting_times(section=cast.section, times=[NewTime(time(11, 50), time(12, 40))], by=cast.teacher, at=NOON)
    page = teacher.get("/today/")
    assert "<h1>9 Teak" in main_of(page)
    assert "Meets until" in page.content.decode()


def test_a_class_out_of_reach_is_not_there(teacher: Client, cast: Cast, floor: Floor) -> None:
    for address in ("/today/", "/today/needs/"):
        for wanted in (cast.stranger_section.pk, 0, "x"):
            assert teacher.get(f"{address}?class={wanted}").status_code == 404


def test_other_classes_are_one_line_with_how_many_to_watch(teacher: Client, cast: Cast, floor: Floor) -> None:
    other = other_class(cast)
    floor.make_ready(EnrollmentFactory(section=other).student)
    page = main_of(teacher.get(f"/today/?class={cast.section.pk}"))
    assert f'href="?class={other.pk}"><span>10 Brass</span><small>1 to watch</small>' in page


def test_number_of_queries_grows_with_nothing(teacher: Client, cast: Cast, floor: Floor) -> None:
    floor.make_ready(cast.student)
    with queries() as few:
        teacher.get("/today/")
    for section in (cast.section, other_class(cast)):
        for _ in range(5):
            floor.make_ready(EnrollmentFactory(section=section).student)
    with queries() as many:
        teacher.get("/today/")
    assert len(many) == len(few) <= MOST_QUERIES


def test_student_of_another_school_is_not_listed(teacher: Client, cast: Cast, floor: Floor) -> None:
    place_hold(
        student=cast.stranger_student,
        machines=None,
        reason="dress",
        lifts="talk",
        by=cast.stranger_teacher,
        tap=uuid4(),
        at=NOON,
    )
    assert cast.stranger_student.name not in main_of(teacher.get("/today/"))


def test_says_so_where_no_class_runs(client: Client, cast: Cast) -> None:
    cast.section.teachers.clear()
    client.force_login(cast.other_teacher)
    assert "No class runs today" in main_of(client.get("/today/"))


def test_every_link_that_a_substitute_meets_opens(client: Client, cast: Cast, floor: Floor) -> None:
    """From Today on, two pages deep, with something of every kind to be read there."""
    floor.make_ready(cast.student)
    floor.make_cleared(cast.classmate, floor.saw_3)
    asked = {"student": cast.student, "machines": [floor.drill_1], "reason": "dress", "lifts": "talk", "tap": uuid4()}
    place_hold(**asked, by=cast.teacher, at=NOON)
    tag_out(machine=floor.drill_1, reason="Chuck cracked.", by=cast.colleague, tap=uuid4(), at=NOON)
    client.force_login(cast.substitute)
    seen, refused = {"/today/"}, []
    pages = ["/today/"]
    for _ in range(2):
        links = {link for page in pages for link in links_of(client.get(page).content.decode(), page)} - seen
        refused += [link for link in sorted(links) if client.get(link, follow=True).status_code != 200]
        pages = [link for link in links if "sheet" not in link]
        seen |= links
    assert len(seen) > 10
    assert refused == []


def links_of(page: str, address: str) -> set[str]:
    """Where the links of a page lead, without files."""
    links = (urljoin(address, href.replace("&amp;", "&")) for href in re.findall(r'<a [^>]*href="([^"#]+)', page))
    return {link for link in links if not link.startswith("/static/")}


@pytest.mark.parametrize(("day", "warned"), [("2026-10-17", True), ("2026-10-19", False)])
def test_substitute_on_a_day_without_a_meeting_is_granted_with_a_warning(
    teacher: Client, cast: Cast, day: str, warned: bool
) -> None:
    times = [NewTime(time(11, 50), time(12, 40), weekdays=(0,))]
    set_meeting_times(section=cast.section, times=times, by=cast.teacher, at=NOON)
    sent = {"substitute": cast.substitute.pk, "day": day, "tap": str(uuid4())}
    page = main_of(teacher.post(f"/classes/{cast.section.pk}/supervising/", sent, follow=True))
    assert f"{cast.substitute.name} on October {int(day[-2:])}, 2026" in page
    granted_again = teacher.post(f"/classes/{cast.section.pk}/supervising/", sent | {"tap": str(uuid4())}, follow=True)
    assert ("does not meet on October" in granted_again.content.decode()) is warned
