"""The pages of every day with words a third longer, and from right to left, at the three sizes: no page is wider than
its screen, nothing is cut off, and no text lies on other text."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page

from shopsafe.language.pseudo import PSEUDO
from tests.browser.conftest import SIZES, Watched, every_run
from tests.browser.server import FULL, Server, on_a_copy
from tests.browser.walking import DEMO_CODE, LOTTE, ODILE

BROKEN = Path(__file__).with_name("broken.js").read_text().rstrip(";\n")
DIRECTIONS = {"en-xa": "ltr", "ar-xb": "rtl"}
TEACHER_PAGES = (
    "/today/", "/today/needs/", "/shops/floor/", "/shops/1/floor/", "/machines/", "/machines/3/?class=1", "/classes/",
    "/classes/1/register/", "/banks/", "/banks/4/", "/people/", "/people/1/", "/prints/", "/reports/", "/incidents/",
    "/logbook/", "/logbook/1/", "/people/1/5/", "/students/5/evidence/", "/quizzes-on-paper/",
)  # fmt: skip
ROLES = {
    "teacher": (ODILE, TEACHER_PAGES),
    "student": (("Inga Vale", DEMO_CODE), ("/bench/", "/machines/3/", "/quizzes/")),
    "office": (LOTTE, ("/office/", "/office/standings/", "/retention/")),
}


@pytest.mark.parametrize("language", every_run(list(PSEUDO), "ar-xb"))
def test_pages_of_every_day_have_room_for_another_language(
    watched: Watched, prepared: Path, tmp_path: Path, language: str
) -> None:
    server = on_a_copy(prepared, tmp_path, FULL)
    server.language = language
    server.start()
    try:
        faults = [fault for role in ROLES for fault in faults_of(watched, server, role)]
    finally:
        watched.close()
        server.stop()
    assert not faults, "\n".join(faults)


def faults_of(watched: Watched, server: Server, role: str) -> Iterator[str]:
    """Each page is loaded once, and then shown at one size after the other."""
    (name, code), addresses = ROLES[role]
    page = watched.open(server)
    page.goto("/sign-in/")
    yield from at_each_size(page, "/sign-in/")
    page.locator("main input[type=text]").first.fill(name)
    page.locator("main input[name=code]").fill(code)
    page.locator("main button").first.click()
    page.wait_for_url(lambda address: "/sign-in/" not in address)
    for address in addresses:
        page.goto(address)
        yield from at_each_size(page, address)
    if role == "teacher":
        page.goto("/machines/3/?class=1")
        page.locator(".who-list a.pick").first.click()
        yield from at_each_size(page, "a sign-off")
        yield from on_paper(page)
    if role == "student":
        page.goto("/bench/")
        page.locator(".next .button").click()
        page.locator("main form .button").first.click()
        page.wait_for_url("**/attempts/**")
        yield from at_each_size(page, "a question")


def on_paper(page: Page) -> Iterator[str]:
    """A quiz on paper: its page, where its answers are entered, and as they were entered."""
    page.goto("/quizzes-on-paper/")
    for field in page.locator("main select").all():
        field.select_option(index=1)
    page.locator("main form .button").first.click()
    page.wait_for_url("**/paper/")
    yield from at_each_size(page, "a quiz on paper")
    page.locator("a[href$='/enter/']").first.click()
    yield from at_each_size(page, "its answers")
    page.locator("main form .button").last.click()
    page.wait_for_url("**/paper/")
    yield from at_each_size(page, "a quiz on paper, entered")


def at_each_size(page: Page, address: str) -> Iterator[str]:
    page.wait_for_load_state("networkidle")
    direction = page.evaluate("getComputedStyle(document.body).direction")
    language = page.evaluate("document.documentElement.lang").lower()
    if DIRECTIONS[language] != direction:
        yield f"{address}: {language} runs {direction}"
    for size, (width, height) in SIZES.items():
        page.set_viewport_size({"width": width, "height": height})
        yield from (f"{address}, {size}: {fault}" for fault in page.evaluate(BROKEN))
