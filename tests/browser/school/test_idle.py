"""A laptop that no one uses is signed out: warned of first, covered, and nothing typed is lost."""

from playwright.sync_api import Page, expect

from tests.browser.conftest import Axe
from tests.browser.server import Server
from tests.browser.walking import DEMO_CODE, ODILE, go_to, sign_in

STUDENT = "Inga Vale"
TYPED = "Room W2, by the window"


def opened_form(page: Page) -> None:
    """A teacher's page with something typed that is saved nowhere yet."""
    page.clock.install()
    sign_in(page, *ODILE)
    page.goto("/today/")
    go_to(page, "Classes")
    page.get_by_role("link", name="9 Teak", exact=True).click()
    page.get_by_text("Add one student", exact=True).click()
    page.get_by_label("Name", exact=True).fill(TYPED)


def sessions(server: Server) -> int:
    return int(str(server.rows("SELECT count(*) FROM school_session")[0][0]))


def test_warning_comes_a_minute_before_and_a_press_ends_it(page: Page, axe: Axe) -> None:
    opened_form(page)
    page.clock.run_for(28 * 60_000)
    expect(page.get_by_role("dialog")).to_be_hidden()
    page.clock.run_for(61_000)
    expect(page.get_by_role("dialog")).to_contain_text(
        "you will be signed out in 59 seconds. What you typed stays here."
    )
    axe(page)
    page.get_by_role("button", name="Stay signed in").click()
    expect(page.get_by_role("dialog")).to_be_hidden()
    page.clock.run_for(28 * 60_000)
    expect(page.get_by_role("dialog")).to_be_hidden()


def test_idle_page_is_covered_and_goes_on_where_it_was(page: Page, demo_server: Server, axe: Axe) -> None:
    opened_form(page)
    assert sessions(demo_server) == 1
    page.clock.run_for(30 * 60_000 + 2000)
    dialog = page.get_by_role("dialog")
    expect(dialog).to_contain_text("was signed out after 30 minutes without use. What was typed on this page is kept.")
    page.wait_for_function(
        "() => fetch('/people/', {redirect: 'manual'}).then((answer) => answer.type === 'opaqueredirect')"
    )
    assert sessions(demo_server) == 0
    axe(page)
    page.keyboard.press("Escape")
    page.keyboard.press("Escape")
    expect(dialog).to_be_visible()
    dialog.get_by_label("Your password").fill("wrong")
    dialog.get_by_role("button", name="Sign in again").click()
    expect(dialog.get_by_role("alert")).to_contain_text("The name and code do not match")
    dialog.get_by_label("Your password").fill(ODILE[1])
    dialog.get_by_role("button", name="Sign in again").click()
    expect(dialog).to_be_hidden()
    expect(page.get_by_label("Name", exact=True)).to_have_value(TYPED)
    page.locator("[name=local_id]").fill("990017")
    page.get_by_role("button", name="Add to the class").click()
    expect(page.get_by_text("is in the class.")).to_be_visible()


def test_typing_is_use(page: Page) -> None:
    opened_form(page)
    for _ in range(3):
        page.clock.run_for(20 * 60_000)
        page.get_by_label("Name", exact=True).press("a")
    expect(page.get_by_role("dialog")).to_be_hidden()


def test_use_of_one_page_keeps_the_other_open(page: Page, demo_server: Server) -> None:
    opened_form(page)
    other = page.context.new_page()
    other.goto(demo_server.url + "/today/")
    page.clock.run_for(29.5 * 60_000)
    expect(page.get_by_role("dialog")).to_be_visible()
    other.keyboard.press("a")
    page.clock.run_for(2000)
    expect(page.get_by_role("dialog")).to_be_hidden()


def test_next_student_starts_over(page: Page) -> None:
    page.clock.install()
    sign_in(page, STUDENT, DEMO_CODE)
    page.wait_for_url("**/bench/")
    page.clock.run_for(10 * 60_000 + 2000)
    dialog = page.get_by_role("dialog")
    expect(dialog).to_contain_text("was signed out after 10 minutes without use.")
    dialog.get_by_role("link", name="Start over").click()
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    assert STUDENT not in page.content()
