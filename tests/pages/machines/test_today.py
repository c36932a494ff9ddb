"""Today: who is ready to show, who is on hold, what lapses, what is tagged out."""

import re
from datetime import timedelta
from urllib.parse import urljoin
from uuid import uuid4

from django.test import Client

from machines.holds.acts import place_hold
from machines.tag_outs.acts import tag_out
from tests.cast import Cast
from tests.factories.machines import NOON, Floor
from tests.pages.machines.reading import main_of


def test_names_who_is_ready_at_which_machine(teacher: Client, cast: Cast, floor: Floor) -> None:
    floor.make_ready(cast.student)
    page = main_of(teacher.get("/today/"))
    assert f"/machines/{floor.saw_2.pk}/sign-off/{cast.student.pk}/" in page
    assert f"/machines/{floor.drill_1.pk}/sign-off/{cast.student.pk}/" not in page
    assert "1 student is ready to show a machine." in page


def test_lists_the_holds_and_what_is_tagged_out(teacher: Client, cast: Cast, floor: Floor) -> None:
    hold = place_hold(
        student=cast.student, machines=None, reason="dress", lifts="talk", by=cast.teacher, tap=uuid4(), at=NOON
    )
    tag_out(machine=floor.drill_1, reason="Chuck cracked.", by=cast.colleague, tap=uuid4(), at=NOON)
    page = main_of(teacher.get("/today/"))
    assert f"/holds/{hold.pk}/lift/" in page
    assert "is tagged out: Chuck cracked." in page


def test_lists_locked_students_and_where_to_unlock_them(teacher: Client, cast: Cast, floor: Floor) -> None:
    assert "Locked after" not in main_of(teacher.get("/today/"))
    for person in (cast.student, cast.stranger_student):
        person.locked_at = NOON - timedelta(minutes=5)
        person.save(update_fields=["locked_at"])
    locked_section = main_of(teacher.get("/today/")).partition("Locked after wrong codes")[2].partition("</section>")[0]
    assert f"<b>{cast.student.name}</b>, {cast.section.name}, since 12 October 2026, 11:55." in locked_section
    assert f'href="/people/{cast.section.pk}/" aria-label="Unlock {cast.student.name}"' in locked_section
    assert cast.stranger_student.name not in locked_section
    assert f"Unlock {cast.student.short_name}" in teacher.get(f"/people/{cast.section.pk}/").content.decode()


def test_names_a_clearance_that_ends_within_two_weeks_and_no_other(teacher: Client, cast: Cast, floor: Floor) -> None:
    floor.make_cleared(cast.student)
    term = cast.section.term
    soon = f"{cast.student.name}</b>, band saw 2: until"
    assert soon not in main_of(teacher.get("/today/"))
    term.last_day = NOON.date() + timedelta(days=10)
    term.save(update_fields=["last_day"])
    assert soon in main_of(teacher.get("/today/"))


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
