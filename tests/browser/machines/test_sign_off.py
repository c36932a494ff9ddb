"""A teacher signs a student off at the machine, with scripts and without."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Watched
from tests.browser.server import Server


def teacher_at_a_machine(page: Page) -> None:
    """The demo's teacher, in front of the first student who is ready to show at band saw 3."""
    page.goto("/sign-in/")
    page.get_by_label("Your name").fill("Odile Ferrant")
    page.get_by_label("Sign-in code").fill("plumb line and level")
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url("**/today/")
    page.goto("/machines/3/")
    page.locator("a.pick:has(small)").first.click()


@pytest.mark.parametrize("javascript", [True, False], ids=["with scripts", "without scripts"])
def test_a_point_left_out_is_named_and_the_sign_off_is_said(
    watched: Watched, demo_server: Server, javascript: bool
) -> None:
    page = watched.open(demo_server, size="tablet", javascript=javascript)
    teacher_at_a_machine(page)
    name = page.locator(".who-list .pick[aria-current]").inner_text().split("\n")[0]
    expect(page.locator(".all-points")).to_be_visible(visible=javascript)
    points = page.locator("input[name=point]")
    for number in range(points.count() - 1):
        points.nth(number).check()
    page.get_by_role("button", name=f"Sign off {name}").click()
    expect(page.locator(".errors")).to_contain_text("Not checked yet")
    points.last.check()
    page.get_by_role("button", name=f"Sign off {name}").click()
    expect(page.get_by_role("status")).to_contain_text(f"Signed off {name} on band saw 3.")
    expect(page.get_by_role("button", name=f"Undo the sign-off of {name}")).to_be_visible()
