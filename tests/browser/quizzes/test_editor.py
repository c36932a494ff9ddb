"""The bank editor in a browser: corners set by clicks, and the same question typed without scripts."""

import re

from playwright.sync_api import Page, expect

from tests.browser.server import Server
from tests.browser.walking import ODILE, sign_in

CORNERS = ((0.1, 0.1), (0.3, 0.1), (0.3, 0.4))


def new_question(page: Page, server: Server) -> None:
    [(bank,)] = server.rows("SELECT id FROM quizzes_bank WHERE code = 'band-saw'")
    sign_in(page, *ODILE)
    page.wait_for_url(lambda url: not url.endswith("/sign-in/"))
    page.goto(f"/banks/{bank}/add/question/guard-low/spot/")
    page.get_by_label("Question").fill("Point at the guard of the saw.")
    page.get_by_label("Picture", exact=True).select_option("band-saw-board.svg")
    page.get_by_role("button", name="Show the picture").click()
    expect(page.locator("[data-plate]")).to_be_visible()
    assert not page.locator(".errors").count(), "half filled is no mistake yet"


def click_at(page: Page, x: float, y: float) -> None:
    """A click on the picture, measured again: the fonts may come late and push it down or make it narrower."""
    plate = page.locator("[data-plate]")
    page.evaluate("document.fonts.ready")
    box = plate.bounding_box()
    assert box
    plate.click(position={"x": box["width"] * x, "y": box["height"] * y})


def save(page: Page) -> None:
    page.get_by_label("What is at A").fill("The guard")
    page.get_by_label("What is at B").fill("The table")
    page.get_by_label("What the picture shows").fill("A saw seen from the front.")
    page.get_by_role("radio", name="The right place is A").check()
    page.get_by_role("button", name="Save in the draft").click()
    expect(page.locator("#said")).to_contain_text("added the question “Point at the guard of the saw.”")


def test_corners_are_set_by_clicks_and_taken_back(page: Page, demo_server: Server) -> None:
    new_question(page, demo_server)
    plate = page.locator("[data-plate]")
    for letter, shift in (("A", 0.0), ("B", 0.5)):
        page.get_by_label(f"Corners of {letter}").focus()
        for x, y in CORNERS:
            click_at(page, x + shift, y + shift)
    assert re.fullmatch(r"(\d+,\d+ ){2}\d+,\d+", page.get_by_label("Corners of A").input_value())
    assert plate.locator("polygon").count() == 2
    page.get_by_role("button", name="Undo the last corner of B").click()
    assert len(page.get_by_label("Corners of B").input_value().split()) == 2
    click_at(page, 0.8, 0.9)
    save(page)


def test_corners_are_typed_without_scripts(page_without_js: Page, demo_server: Server) -> None:
    page = page_without_js
    new_question(page, demo_server)
    page.get_by_label("Corners of A").fill("10,10 40,10 40,30")
    page.get_by_label("Corners of B").fill("100,100 140,100 140,130")
    page.get_by_role("button", name="Show the picture").click()
    assert page.locator("[data-plate] polygon").count() == 2
    save(page)
