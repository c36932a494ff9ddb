"""The floor on two screens: a change shows within two seconds, no news keeps off, and all of it without a script."""

import re
import time

from playwright.sync_api import Page, Route, expect

from tests.browser.conftest import Watched
from tests.browser.server import Server
from tests.browser.walking import ODILE, sign_in

FLOOR = "/shops/1/floor/"
WITHIN = 2.0  # seconds
RUNNING = ".tile.in-use"


def teacher_on_floor(page: Page, address: str = FLOOR) -> None:
    """On the floor of the demo's period, confirmed again: the demo may be older than a quarter of an hour."""
    sign_in(page, *ODILE)
    page.goto(FLOOR)
    page.get_by_role("button", name="I’m here").first.click()
    expect(page.locator(".tile")).to_have_count(8)
    if address != FLOOR:
        page.goto(address)


def test_change_shows_on_the_projector_within_two_seconds(
    page: Page, watched: Watched, demo_server: Server, record_property: object
) -> None:
    teacher_on_floor(page)
    wall = watched.open(demo_server)
    teacher_on_floor(wall, f"{FLOOR}wall/")
    page.goto(FLOOR)
    before = wall.locator(RUNNING).count()
    assert before >= 2
    for left in (before - 1, before - 2):
        page.locator(RUNNING).first.get_by_role("button", name="Mark as stopped").click()
        began = time.monotonic()
        expect(wall.locator(RUNNING)).to_have_count(left, timeout=WITHIN * 1000 + 500)
        assert time.monotonic() - began <= WITHIN
        expect(page.get_by_role("status")).to_contain_text("is marked as stopped")


def test_no_news_for_a_minute_keeps_off_every_machine(page: Page, demo_server: Server) -> None:
    teacher_on_floor(page)
    page.clock.install()
    page.goto(FLOOR)
    expect(page.locator(RUNNING).first).to_be_visible()

    def lost(route: Route) -> None:
        route.abort()

    page.route(re.compile(r"part=room"), lost)
    page.clock.run_for(62_000)
    expect(page.locator(".no-news")).to_contain_text("Last heard")
    expect(page.locator(".tile.keep-off")).to_have_count(7)
    expect(page.locator(".tile.tagged-out")).to_have_count(1)
    page.unroute(re.compile(r"part=room"), lost)
    page.clock.run_for(8_000)
    expect(page.locator(RUNNING).first).to_be_visible()
    expect(page.locator(".no-news")).to_be_hidden()


def test_tablet_that_slept_past_the_presence_keeps_off(page: Page, demo_server: Server) -> None:
    teacher_on_floor(page)
    page.clock.install()
    page.goto(FLOOR)
    page.route(re.compile(r"part=room"), lambda route: route.abort())
    page.clock.fast_forward(20 * 60_000)
    expect(page.locator(".tile.keep-off")).to_have_count(7)


def test_machine_is_given_in_two_taps_without_a_script(page_without_js: Page, demo_server: Server) -> None:
    page = page_without_js
    teacher_on_floor(page)
    free = page.locator(".tile.free").first
    machine = free.locator("h2").inner_text()
    free.get_by_role("link", name="Assign to a student").click()
    page.locator("#give .pick").first.click()
    expect(page.locator(".tile.checking").filter(has_text=machine)).to_have_count(1)
    page.locator(".tile.checking").filter(has_text=machine).get_by_role("link", name="Open the check").click()
    for box in page.locator(".tick-all input").all():
        box.check()
    page.get_by_role("button", name="Ready: start").click()
    expect(page.locator(RUNNING).filter(has_text=machine)).to_have_count(1)
