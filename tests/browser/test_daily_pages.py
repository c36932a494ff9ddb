"""The pages of every day, measured with a class of 36 at 16 machines: words, heights, targets, text, and how many Tab
stops lead to the first act. Each page is loaded once a size, and everything about it is measured then."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import Axe, Watched
from tests.browser.server import FULL, Server, on_a_copy
from tests.browser.walking import DEMO_CODE, LOTTE, ODILE, sign_in

SIZES = {"laptop": (1366, 768), "tablet": (820, 1180), "phone": (360, 740)}
STUDENT = ("Inga Vale", DEMO_CODE)
DAILY, LOOKED_UP = 150, 350  # words
MOST_STOPS = 12

MEASURE = Path(__file__).with_name("measure.js").read_text()
BOTTOM = "(selector) => document.querySelector(selector).getBoundingClientRect().bottom + scrollY"


@dataclass(frozen=True)
class DailyPage:
    """`act` is what someone comes to the page for; `in_sight` must end within the first screen of these sizes."""

    address: str
    words: int
    act: str = ""
    in_sight: str = ""
    sizes: tuple[str, ...] = ()


TEACHER_PAGES = (
    DailyPage("/today/", DAILY, ".acts .button", "#watch", ("laptop", "tablet")),
    DailyPage("/machines/3/?class=1", LOOKED_UP, ".who-list a.pick", ".who-list a.pick", ("laptop", "tablet", "phone")),
    DailyPage("/machines/", LOOKED_UP, ""),
    DailyPage("/banks/", LOOKED_UP, "tbody a"),
    DailyPage("/banks/4/", LOOKED_UP),
    DailyPage("/people/", LOOKED_UP, "tbody a", "tbody a", ("laptop", "tablet", "phone")),
    DailyPage("/people/1/", LOOKED_UP, "tbody input"),
    DailyPage("/people/1/{student}/", LOOKED_UP),
)
STUDENT_PAGES = (DailyPage("/bench/", DAILY, ".next .button", ".next", ("laptop", "tablet", "phone")),)
OFFICE_PAGES = (DailyPage("/office/", DAILY, "#missing ~ ul a", "#jobs", ("laptop", "tablet")),)
ROLES: dict[str, tuple[tuple[str, str], tuple[DailyPage, ...]]] = {
    "teacher": (ODILE, TEACHER_PAGES),
    "student": (STUDENT, STUDENT_PAGES),
    "office": (LOTTE, OFFICE_PAGES),
}


@pytest.fixture(scope="module")
def full_school(prepared: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    server = on_a_copy(prepared, tmp_path_factory.mktemp("full"), FULL)
    yield server.start()
    server.stop()


@pytest.mark.parametrize("size", list(SIZES))
@pytest.mark.parametrize("role", list(ROLES))
def test_pages_of_every_day_are_short_and_easy_to_press(
    watched: Watched, full_school: Server, axe: Axe, role: str, size: str
) -> None:
    person, pages = ROLES[role]
    [(student,)] = full_school.rows("SELECT min(student_id) FROM school_enrolment WHERE section_id = 1")
    pages = [replace(entry, address=entry.address.format(student=student)) for entry in pages]
    page = watched.open(full_school, size=size)
    sign_in(page, *person)
    page.wait_for_url(lambda address: "/sign-in/" not in address)
    faults = [f"{entry.address}: {fault}" for entry in pages for fault in faults_of(page, entry, size, axe)]
    assert not faults, f"{role}, {size}\n" + "\n".join(faults)


def faults_of(page: Page, entry: DailyPage, size: str, axe: Axe) -> Iterator[str]:
    answer = page.goto(entry.address)
    if answer is None or not answer.ok:
        yield "the page is not there"
        return
    page.wait_for_load_state("networkidle")
    measured: dict[str, Any] = page.evaluate(MEASURE)
    if measured["words"] > entry.words:
        yield f"{measured['words']} words, {entry.words} at most"
    if measured["over"] > 0:
        yield f"{measured['over']} px wider than the screen"
    yield from (f"hard to press, {target}" for target in measured["small"])
    yield from (f"hard to read, {text}" for text in measured["fine"])
    if size in entry.sizes and (bottom := page.evaluate(BOTTOM, entry.in_sight)) > SIZES[size][1]:
        yield f"{entry.in_sight} ends at {bottom:.0f} px, below the first screen"
    if size == "laptop":
        if entry.act and (stops := stops_to(page, entry.act)) > MOST_STOPS:
            yield f"{stops} Tab stops to {entry.act}"
        yield from axe.find(page)


def stops_to(page: Page, act: str) -> int:
    """How many Tab stops lead to what someone comes to the page for. The first link of every page skips the menu."""
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    for stop in range(3, MOST_STOPS + 2):
        page.keyboard.press("Tab")
        if page.evaluate("(act) => document.activeElement.matches(act)", act):
            return stop
    return MOST_STOPS + 2


def test_student_is_signed_off_on_one_screen(watched: Watched, full_school: Server) -> None:
    page = watched.open(full_school)
    sign_in(page, *ODILE)
    page.wait_for_url("**/today/")
    page.goto("/machines/3/?class=1")
    page.locator(".who-list a.pick").first.click()
    for width, height in ((820, 1180), (1180, 820)):
        page.set_viewport_size({"width": width, "height": height})
        last_point = page.evaluate(BOTTOM, ".watched li:last-child")
        assert last_point <= height - 88, f"the last point ends at {last_point:.0f} px at {width}×{height}"
        button = page.locator(".sign-now").bounding_box()
        assert button, "no button to sign off"
        assert button["y"] + button["height"] <= height
