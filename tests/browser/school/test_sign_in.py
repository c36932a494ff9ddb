"""The sign-in page in a real browser."""

from playwright.sync_api import Page, expect

from tests.browser.conftest import Axe
from tests.browser.server import Server


def test_fits_every_screen_and_axe_finds_nothing(reading_page: Page, axe: Axe) -> None:
    reading_page.goto("/sign-in/")
    axe(reading_page)
    wider = reading_page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert wider == 0, f"the page is {wider} px wider than the screen"


def test_wrong_code_shows_an_error_without_javascript(page_without_js: Page) -> None:
    page_without_js.goto("/sign-in/")
    page_without_js.get_by_label("Your name").fill("No one Here")
    page_without_js.get_by_label("Sign-in code").fill("WRONG")
    page_without_js.get_by_role("button", name="Sign in").click()
    expect(page_without_js.get_by_text("Check both and try again.").first).to_be_visible()


def test_code_can_be_shown_and_page_returns_after_a_restart(page: Page, demo_server: Server) -> None:
    page.goto("/sign-in/")
    page.get_by_label("Sign-in code").fill("DEMA7K3D")
    page.get_by_label("Show the code while I type").check()
    expect(page.get_by_label("Sign-in code")).to_have_attribute("type", "text")
    demo_server.kill()
    demo_server.start()
    page.reload()
    expect(page.get_by_role("button", name="Sign in")).to_be_visible()
