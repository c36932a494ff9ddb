"""Each kind of question by keyboard with scripts, by mouse without them; every control has a name."""

import re
from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Watched, every_run
from tests.browser.quizzes.quizzing import QUIZZES, begin, kind_of, numbered
from tests.browser.server import Server

KINDS = {"one", "several", "order", "pair", "spot", "measure"}
NAMELESS = re.compile(r"^\s*- (?:radio|checkbox|combobox|textbox|button)(?: \[.*\])?:?$", re.MULTILINE)


def each_kind(page: Page, server: Server) -> Iterator[str]:
    """Opens one question of every kind in turn, in as many quizzes as that takes."""
    left = set(KINDS)
    for _ in range(QUIZZES):
        attempt = begin(page)
        for number, kind in numbered(server, attempt):
            if kind in left:
                page.goto(f"{attempt}questions/{number}/")
                assert kind_of(page) == kind
                left.remove(kind)
                yield kind
        if not left:
            return
        page.get_by_role("button", name="Not you? Sign out").click()
    raise AssertionError(f"no question of {left}")


def go_on(page: Page, *, refused: bool = False) -> None:
    """Presses Enter on the button, waits for the page after it, and goes back to the question.

    With `refused` the page is the answer to a form that was sent: a browser asks before it goes back to such a page.
    """
    before = page.url
    page.get_by_role("button", name="Save and continue").press("Enter")
    expect(page).not_to_have_url(before)
    if refused:
        page.goto(before)
    else:
        page.go_back()
    expect(page).to_have_url(before)


def in_steps(page: Page) -> list[str]:
    """The steps that have a number, first to last."""
    numbered_rows = [row.inner_text().split("\n") for row in page.locator(".press.placed").all()]
    return [step for _, step in sorted((int(number), step) for number, step, *_ in numbered_rows)]


def named(step: str, words: str) -> re.Pattern[str]:
    return re.compile(rf"^{re.escape(step)} ?, {re.escape(words)}$")


def matches(page: Page) -> list[str]:
    lists = page.locator("[data-pair] select")
    return [lists.nth(n).input_value() for n in range(lists.count())]


def by_keyboard(page: Page, kind: str) -> None:
    match kind:
        case "one" | "spot" | "several":
            first = page.locator(".answers input").first
            first.press("Space")
            expect(first).to_be_checked()
        case "order":
            order_by_keyboard(page)
        case "pair":
            pair_by_keyboard(page)
        case "measure":
            page.get_by_label("Your answer, in").press_sequentially("1 1/2")


def order_by_keyboard(page: Page) -> None:
    """Last step first, one taken out and pressed again, all by Enter and Space on the steps themselves."""
    steps = page.locator("[data-step]").all_inner_texts()
    rows = page.locator(".press")
    expect(rows.first).to_be_focused()
    expect(rows.first).to_have_accessible_name(named(steps[0], "press to make it step 1."))
    for place in reversed(range(len(steps))):
        rows.nth(place).press("Enter" if place % 2 else "Space")
        expect(rows.nth(place)).to_be_focused()
        if place:
            expect(page.get_by_role("status")).to_have_text(f"{len(steps) - place} of {len(steps)} placed. Saved")
    assert in_steps(page) == steps[::-1]
    rows.last.press("Enter")
    assert in_steps(page) == steps[-2::-1]
    expect(rows.last).to_have_accessible_name(named(steps[-1], "press to make it step 1."))
    rows.last.press("Enter")
    expect(rows.last).to_have_accessible_name(named(steps[-1], "step 1. Press to take it out."))
    assert in_steps(page) == steps[::-1]


def pair_by_keyboard(page: Page) -> None:
    lists = page.locator("[data-pair] select")
    expect(lists.first).to_be_focused()
    for place in range(lists.count()):
        lists.nth(place).select_option(index=place + 1)
        if place + 1 < lists.count():
            expect(page.get_by_role("status")).to_have_text("Saved, not finished")
    assert len(set(matches(page))) == lists.count()


def test_each_kind_by_keyboard(watched: Watched, demo_server: Server, axe: Callable[[Page], None]) -> None:
    page = watched.open(demo_server)
    for kind in each_kind(page, demo_server):
        assert not NAMELESS.findall(page.locator("main").aria_snapshot()), kind
        axe(page)
        if kind == "measure":
            unreadable(page)
        by_keyboard(page, kind)
        expect(page.get_by_role("status")).to_have_text("Saved")
        shown_answers = page.locator(".answers").aria_snapshot()
        go_on(page)
        assert page.locator(".answers").aria_snapshot() == shown_answers, kind


def unreadable(page: Page) -> None:
    page.get_by_label("Your answer, in").fill("about an inch")
    page.get_by_role("button", name="Save and continue").click()
    expect(page.locator(".errors")).to_contain_text("That isn't a number. Write a number in digits")
    expect(page.get_by_label("Your answer, in")).to_have_value("about an inch")
    page.get_by_label("Your answer, in").clear()


def test_each_kind_without_scripts(watched: Watched, demo_server: Server) -> None:
    page = watched.open(demo_server, size="phone", javascript=False)
    for kind in each_kind(page, demo_server):
        assert not NAMELESS.findall(page.locator("main").aria_snapshot()), kind
        expect(page.locator(":is([data-press], [data-aloud]):visible")).to_have_count(0)
        match kind:
            case "one" | "spot" | "several":
                page.locator(".answer").first.click()
            case "order":
                order_without_scripts(page)
            case "pair":
                lists = page.locator(".answers select")
                for place in range(lists.count()):
                    lists.nth(place).select_option(index=place + 1)
            case "measure":
                unreadable(page)
                page.get_by_label("Your answer, in").fill("1 1/2")
        go_on(page, refused=kind == "measure")
        expect(page.get_by_role("status")).to_have_text("Saved")


def order_without_scripts(page: Page) -> None:
    """Each press is sent, and the page comes back at the step pressed."""
    steps = page.locator("[data-step]").all_inner_texts()
    rows = page.locator(".press")
    for place in range(len(steps)):
        rows.nth(place).click()
        expect(rows.nth(place)).to_have_class(re.compile("placed"))
        expect(rows.nth(place)).to_be_focused()
    assert in_steps(page) == steps


def test_each_kind_by_touch(watched: Watched, demo_server: Server) -> None:
    phone = {"width": 360, "height": 740}
    page = watched.browser.new_context(base_url=demo_server.url, has_touch=True, viewport=phone).new_page()  # type: ignore[arg-type]
    for kind in each_kind(page, demo_server):
        match kind:
            case "order":
                for row in page.locator(".press").all():
                    row.tap()
            case "pair":
                lists = page.locator(".answers select")
                for place in range(lists.count()):
                    lists.nth(place).select_option(index=place + 1)
            case "spot":
                page.locator(".callout text").nth(1).tap()
                expect(page.locator(".answers input").nth(1)).to_be_checked()
            case "measure":
                page.get_by_label("Your answer, in").tap()
                page.keyboard.type("1 1/2")
            case _:
                page.locator(".answer").last.tap()
        expect(page.get_by_role("status")).to_have_text("Saved")
        if kind != "pair":  # a list is chosen from without a press that scrolls there
            expect(page.locator("[data-saved=Saved]").first).to_be_in_viewport()
        save_by_touch(page)


# Whether the line of what is saved lies on any text of the question.
COVERS = """() => {
    const box = (part) => part.getBoundingClientRect();
    const said = box(document.getElementById("said"));
    const meets = ({ width, left, right, top, bottom }) =>
        width && left < said.right && right > said.left && top < said.bottom && bottom > said.top;
    return [...document.querySelectorAll("h1, .hint, .answer, .press, .actions > *")].map(box).some(meets);
}"""


@pytest.mark.parametrize("javascript", [True, False], ids=["with scripts", "without scripts"])
def test_focus_begins_at_the_first_answer_and_saving_covers_no_text(
    watched: Watched, demo_server: Server, javascript: bool
) -> None:
    page = watched.open(demo_server, size="phone", javascript=javascript)
    for kind in each_kind(page, demo_server):
        expect(page.get_by_role("heading", level=1)).to_be_in_viewport()
        if kind in ("order", "pair"):
            expect(page.locator(".press, .answers select").first).to_be_focused()
        if not javascript:
            continue
        if kind not in ("pair", "measure"):
            page.locator(".press, .answer input").first.click()
        for _ in range(8):
            assert not page.evaluate(COVERS), kind
            page.mouse.wheel(0, 120)


def save_by_touch(page: Page) -> None:
    before = page.url
    page.get_by_role("button", name="Save and continue").tap()
    expect(page).not_to_have_url(before)
    page.wait_for_load_state()


@pytest.mark.parametrize("size", every_run(["phone", "tablet"], "phone"))
def test_a_picture_has_its_twin_in_words(watched: Watched, demo_server: Server, size: str) -> None:
    page = watched.open(demo_server, size=size)
    for kind in each_kind(page, demo_server):
        if kind != "spot":
            continue
        page.get_by_text("The picture in words").click()
        words = page.locator(".in-words")
        letters = [text[0] for text in words.locator("li").all_inner_texts()]
        assert letters == page.locator(".answers b").all_inner_texts()
        expect(words.locator("p")).to_have_text(str(page.locator(".plate").get_attribute("aria-label")))
        return
