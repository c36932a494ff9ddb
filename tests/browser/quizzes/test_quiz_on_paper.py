"""A teacher gives accommodations, makes a quiz on paper, enters it and hands it in; nothing needs scripts."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Watched
from tests.browser.quizzes.quizzing import sign_in
from tests.browser.server import Server


@pytest.mark.parametrize(("size", "javascript"), [("laptop", True), ("phone", False)])
def test_from_the_sheet_to_the_result(
    watched: Watched, demo_server: Server, axe: Callable[[Page], None], size: str, javascript: bool
) -> None:
    look: Callable[[Page], None] = axe if javascript else lambda page: None
    page = watched.open(demo_server, size=size, javascript=javascript)
    page.goto("/sign-in/?next=/quizzes-on-paper/")
    sign_in(page, "Odile Ferrant", "plumb line and level")
    look(page)
    page.get_by_label("Student").select_option(label="Abel Moor")
    page.get_by_label("Quiz").select_option(label="3-D printer")
    page.get_by_role("button", name="Make the sheet").click()
    expect(page.get_by_role("link", name="Print the key for me")).to_be_visible()
    look(page)
    page.get_by_role("link", name="Enter the answers").click()
    look(page)
    page.locator(".choice input:not([value=''])").last.check()
    page.get_by_role("button", name="Keep and check").click()
    expect(page.get_by_text("Left blank").first).to_be_visible()
    look(page)
    page.get_by_role("button", name="Hand in for Abel").click()
    expect(page.get_by_role("status")).to_contain_text("to learn again.")
    rows = "SELECT count(*) FROM quizzes_attempt WHERE paper_code <> '' AND handed_in_at IS NOT NULL AND NOT perfect"
    assert demo_server.rows(rows) == [(1,)]


def test_accommodations_are_given_and_hold_at_once(
    watched: Watched, demo_server: Server, axe: Callable[[Page], None]
) -> None:
    page = watched.open(demo_server)
    student = demo_server.rows("SELECT id FROM school_person WHERE name = 'Inga Vale'")[0][0]
    page.goto(f"/sign-in/?next=/students/{student}/accommodations/")
    sign_in(page, "Odile Ferrant", "plumb line and level")
    axe(page)
    page.get_by_label("Largest").check()
    page.get_by_label("A button that reads each question aloud").check()
    page.get_by_role("button", name="Give these").click()
    expect(page.get_by_role("status")).to_contain_text("has these from now on.")
    page.get_by_role("button", name="Sign out").click()
    page.goto("/sign-in/?next=/bench/")
    sign_in(page)
    expect(page.locator("html[data-look=largest]")).to_have_count(1)
    wider = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert wider == 0
