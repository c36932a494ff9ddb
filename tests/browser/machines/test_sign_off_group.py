"""A group signed off on one screen: each student's row says what became of its tap, with a network and without."""

import re
from urllib.parse import parse_qs

from playwright.sync_api import Locator, Page, Request, expect

from tests.browser.conftest import Axe, Watched
from tests.browser.machines.test_saving_sign_off import sign_offs
from tests.browser.server import Server
from tests.browser.walking import ODILE, sign_in

GROUP = "/machines/3/sign-off/"
WAITING = "Waiting to send. Not signed off yet."


def teacher_at_group(page: Page) -> list[Locator]:
    """The teacher in front of the group page of band saw 3; the rows of the students who are ready."""
    sign_in(page, *ODILE)
    page.wait_for_url("**/today/")
    page.goto(GROUP)
    rows = page.locator("[data-tap-row]")
    expect(rows.nth(2)).to_be_visible()
    return rows.all()


def watch_and_sign_off(page: Page, rows: list[Locator]) -> None:
    for row in rows:
        row.locator("input").check()
    page.get_by_role("button", name="I watched all").click()
    page.locator(".sign-now").click()


def result_of(row: Locator) -> Locator:
    return row.locator("[data-result]")


def test_each_tapped_student_is_signed_off_and_the_points_are_asked_again(
    watched: Watched, demo_server: Server, axe: Axe
) -> None:
    page = watched.open(demo_server, size="tablet")
    rows, before = teacher_at_group(page), sign_offs(demo_server)
    page.locator(".sign-now").click()
    expect(page.get_by_role("status")).to_contain_text("Tap each student you watched.")
    rows[0].locator("input").check()
    page.locator(".sign-now").click()
    expect(page.get_by_role("status")).to_contain_text("Not watched yet")
    watch_and_sign_off(page, rows[:2])
    for row in rows[:2]:
        expect(result_of(row)).to_have_text("Signed off.")
    assert sign_offs(demo_server) == before + 2
    expect(page.locator("input[name=point]:checked")).to_have_count(0)
    expect(result_of(rows[2])).to_be_empty()
    axe(page)
    page.reload()
    expect(page.locator(".pick.done")).to_have_count(2)


def test_group_without_network_waits_and_is_sent_once_oldest_first(
    page: Page, watched: Watched, demo_server: Server
) -> None:
    rows, before = teacher_at_group(page), sign_offs(demo_server)
    addresses = [str(row.get_attribute("data-tap-row")) for row in rows[:3]]
    page.context.set_offline(True)
    watch_and_sign_off(page, [rows[2]])
    watch_and_sign_off(page, rows[:2])
    for row in rows[:3]:
        expect(result_of(row)).to_have_text(WAITING)
    assert sign_offs(demo_server) == before
    second = watched.open(demo_server)
    sign_in(second, *ODILE)
    second.goto(addresses[0])
    second.get_by_role("button", name="I watched all").click()
    second.locator(".sign-now").click()
    expect(second.get_by_role("status")).to_contain_text("Signed off")
    sent: list[Request] = []
    page.on("request", lambda request: sent.append(request) if request.method == "POST" else None)
    page.context.set_offline(False)
    expect(result_of(rows[2])).to_have_text("Signed off.")
    expect(result_of(rows[1])).to_have_text("Signed off.")
    expect(result_of(rows[0])).to_have_text(
        re.compile(r"^Not signed off\. Odile Ferrant signed off .+ on band saw 3 on ")
    )
    assert [request.url.removeprefix(demo_server.url) for request in sent] == [addresses[2], addresses[0], addresses[1]]
    assert len({parse_qs(request.post_data or "")["tap"][0] for request in sent}) == 3
    assert sign_offs(demo_server) == before + 3


def test_session_that_ends_mid_sign_off_keeps_the_taps_until_the_teacher_is_back(
    page: Page, demo_server: Server
) -> None:
    rows, before = teacher_at_group(page), sign_offs(demo_server)
    names = [str(row.get_attribute("data-label")) for row in rows[:2]]
    page.context.clear_cookies(name="shopsafe")
    watch_and_sign_off(page, rows[:2])
    expect(page.get_by_role("status")).to_contain_text("You are signed out.")
    for row in rows[:2]:
        expect(result_of(row)).to_have_text(WAITING)
    assert sign_offs(demo_server) == before
    sign_in(page, *ODILE)
    for name in names:
        expect(page.get_by_role("status")).to_contain_text(f"Sent: {name}.")
    assert sign_offs(demo_server) == before + 2


def test_group_is_signed_off_without_a_script(page_without_js: Page, demo_server: Server) -> None:
    page = page_without_js
    rows, before = teacher_at_group(page), sign_offs(demo_server)
    for row in rows[:2]:
        row.locator("input").check()
    for box in page.locator("input[name=point]").all():
        box.check()
    page.locator(".sign-now").click()
    expect(page.get_by_role("status")).to_contain_text("Signed off 2 on band saw 3.")
    assert sign_offs(demo_server) == before + 2
