"""A sign-off that finds no network waits, outlives its page, and is recorded once."""

import re
from urllib.parse import parse_qs

import pytest
from playwright.sync_api import Page, Route, expect

from tests.browser.conftest import every_run
from tests.browser.machines.test_sign_off import teacher_at_a_machine
from tests.browser.server import Server

SIGN_OFF = re.compile(r"/sign-off/\d+/")


class Hanging:
    """Requests to sign off that get no answer, or the answer of something else than the server."""

    def __init__(self, page: Page, **fulfilled: object) -> None:
        self.page, self.fulfilled = page, fulfilled
        self.bodies: list[dict[str, list[str]]] = []
        self.waiting: list[Route] = []
        self.lifted = False
        page.route(SIGN_OFF, self._meet)

    def _meet(self, route: Route) -> None:
        if self.lifted or route.request.method != "POST":
            route.continue_()
            return
        self.bodies.append(parse_qs(route.request.post_data or ""))
        if self.fulfilled:
            route.fulfill(**self.fulfilled)  # type: ignore[arg-type]
        else:
            self.waiting.append(route)

    def lift(self) -> None:
        self.lifted = True
        for route in self.waiting:
            route.abort()


def sign_offs(server: Server) -> int:
    return int(str(server.rows("SELECT count(*) FROM machines_signoff")[0][0]))


def press_sign_off(page: Page) -> str:
    """Watches every point and signs off; the words of the button."""
    page.get_by_role("button", name="I watched all").click()
    button = page.locator(".sign-now")
    label = str(button.get_attribute("data-label"))
    button.click()
    return label


def test_sign_off_that_waits_outlives_leaving_the_page(page: Page, demo_server: Server) -> None:
    teacher_at_a_machine(page)
    before = sign_offs(demo_server)
    hanging = Hanging(page)
    label = press_sign_off(page)
    expect(page.get_by_role("status")).to_contain_text(f"{label}. Not signed off yet.")
    page.get_by_role("link", name="Today").click()
    page.wait_for_url("**/today/")
    expect(page.get_by_role("status")).to_contain_text(f"{label}. Not signed off yet.")
    assert sign_offs(demo_server) == before
    hanging.lift()
    expect(page.get_by_role("status")).to_contain_text(f"Sent: {label}.")
    assert sign_offs(demo_server) == before + 1
    assert len({body["tap"][0] for body in hanging.bodies}) == 1, "one tap, one id"
    page.reload()
    expect(page.get_by_role("status")).to_contain_text("Signed off")
    assert sign_offs(demo_server) == before + 1


@pytest.mark.parametrize("status", every_run([302, 403, 429, 503], 302, 429))
def test_sign_off_waits_when_a_proxy_answers(page: Page, demo_server: Server, status: int) -> None:
    teacher_at_a_machine(page)
    before = sign_offs(demo_server)
    proxy = Hanging(page, status=status, headers={"location": "/portal/"}, body="No")
    label = press_sign_off(page)
    expect(page.get_by_role("status")).to_contain_text(f"Waiting to send: {label}. Not signed off yet.")
    proxy.lift()
    expect(page.get_by_role("status")).to_contain_text("Signed off")
    assert sign_offs(demo_server) == before + 1


def test_sign_off_is_forgotten_when_the_teacher_says_so(page: Page, demo_server: Server) -> None:
    teacher_at_a_machine(page)
    before = sign_offs(demo_server)
    proxy = Hanging(page, status=503, body="No")
    label = press_sign_off(page)
    page.get_by_role("button", name=f"Do not send: {label}").click()
    expect(page.get_by_role("status")).to_contain_text(f"Not sent: {label}.")
    proxy.lift()
    page.reload()
    page.wait_for_timeout(300)
    assert sign_offs(demo_server) == before


def test_refused_sign_off_is_shown_on_any_page(page: Page, demo_server: Server) -> None:
    teacher_at_a_machine(page)
    hanging = Hanging(page)
    label = press_sign_off(page)
    other = page.context.new_page()
    other.goto(page.url)
    press_sign_off(other)
    expect(other.get_by_role("status")).to_contain_text("Signed off")
    page.get_by_role("link", name="Today").click()
    before = sign_offs(demo_server)
    hanging.lift()
    expect(page.get_by_role("status")).to_contain_text(f"Not signed off: {label}.")
    expect(page.get_by_role("link", name="Open the sign-off page")).to_be_visible()
    assert sign_offs(demo_server) == before


# Moves the press of what waits back in time, in the tab and in its spare.
PRESSED_EARLIER = """(milliseconds) => {
    for (const storage of [sessionStorage, localStorage]) {
        for (const key of Object.keys(storage).filter((name) => name.startsWith("waiting "))) {
            const entry = JSON.parse(storage.getItem(key));
            storage.setItem(key, JSON.stringify({ ...entry, pressed: entry.pressed - milliseconds }));
        }
    }
}"""


def test_sign_off_older_than_an_hour_is_sent_only_on_request(page: Page, demo_server: Server) -> None:
    teacher_at_a_machine(page)
    before = sign_offs(demo_server)
    hanging = Hanging(page)
    label = press_sign_off(page)
    page.evaluate(PRESSED_EARLIER, 61 * 60 * 1000)
    page.goto("/today/")
    expect(page.get_by_role("status")).to_contain_text(f"Not sent for more than an hour: {label}.")
    hanging.lift()
    page.wait_for_timeout(300)
    assert sign_offs(demo_server) == before
    page.get_by_role("button", name=f"Send now: {label}").click()
    expect(page.get_by_role("status")).to_contain_text(f"Sent: {label}.")
    assert sign_offs(demo_server) == before + 1


def test_signing_out_asks_about_a_sign_off_that_waits(page: Page, demo_server: Server) -> None:
    teacher_at_a_machine(page)
    Hanging(page)
    label = press_sign_off(page)
    page.get_by_role("button", name="Sign out").click()
    dialog = page.get_by_role("dialog", name="Not saved yet")
    expect(dialog).to_contain_text(label)
    dialog.get_by_role("button", name="Stay here").click()
    expect(page.get_by_role("button", name="Sign out")).to_be_visible()


def test_each_press_of_a_form_with_other_entries_is_a_tap_of_its_own(page: Page, demo_server: Server) -> None:
    """The form of a hold, sent again after the Back button with a graver reason, must not count as the first one."""
    teacher_at_a_machine(page)
    page.goto("/today/")
    taps = []

    def meet(route: Route) -> None:
        taps.append(parse_qs(route.request.post_data or "")["tap"][0])
        route.fulfill(status=204)

    page.goto("/machines/3/")
    page.get_by_role("link", name="Tag out").click()
    page.route("**/tag-out/", meet)
    for words in ("Guard is loose.", "Guard is loose.", "Guard is off."):
        page.get_by_label("What is wrong?").fill(words)
        page.locator("main form .button").first.click()
        page.wait_for_timeout(100)
    assert taps[0] == taps[1] != taps[2]
