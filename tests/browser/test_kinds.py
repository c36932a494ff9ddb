"""Each kind of question by keyboard with scripts, by mouse without them; every control has a name."""

import re
from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Watched
from tests.browser.quizzing import QUIZZES, begin, kind_of, numbered
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
    """The items of an order by the steps they have."""
    items = page.locator("[data-order] li")
    steps = [(items.nth(n).locator("select").input_value(), n) for n in range(items.count())]
    return [items.nth(n).locator("label").inner_text() for _, n in sorted(steps)]


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
            items = page.locator("[data-order] li label").all_inner_texts()
            expect(page.get_by_text("press ↑ or ↓ beside an item to move it")).to_be_visible()
            expect(page.get_by_role("button", name=f"Move down: {items[0]}, no step yet, now 1 of")).to_be_visible()
            page.get_by_role("button", name=f"Move down: {items[0]}").press("Enter")
            expect(page.locator("[data-told]")).to_have_text(f"{items[0]}: no step yet, now 2 of {len(items)}.")
            not_an_answer_yet(page)
            page.get_by_role("button", name="This is my order").press("Enter")
            expect(page.get_by_text("This is your answer.")).to_be_visible()
            expect(page.get_by_role("button", name="This is my order")).to_be_hidden()
            expect(page.get_by_role("button", name=f"Move up: {items[0]}, step 2 of {len(items)}")).to_be_visible()
            assert in_steps(page) == [items[1], items[0], *items[2:]]
            expect(page.get_by_role("button", name="Save and continue")).to_be_focused()
            page.get_by_role("button", name=f"Move down: {items[0]}").press("Enter")
            expect(page.get_by_role("button", name=f"Move down: {items[0]}")).to_be_focused()
            page.get_by_role("button", name=f"Move up: {items[0]}").press("Enter")
            assert in_steps(page) == [items[1], items[0], *items[2:]]
        case "pair":
            pair_by_keyboard(page)
        case "measure":
            page.get_by_label("Your answer, in").press_sequentially("1 1/2")


def pair_by_keyboard(page: Page) -> None:
    down = page.locator("[data-pair] [data-by='1']").first
    expect(page.get_by_text("↑ or ↓ beside an item moves its match")).to_be_visible()
    expect(down).to_have_accessible_name(re.compile("^Move down: .*, no match yet$"))
    down.press("Enter")
    assert not any(matches(page)), "an arrow alone is no answer"
    lists = page.locator("[data-pair] select")
    lists.first.select_option(index=1)
    expect(page.get_by_role("status")).to_have_text("Saved, not finished")
    expect(page.get_by_text("Not finished. Each item needs a match of its own.")).to_be_visible()
    for place in range(1, lists.count()):
        lists.nth(place).select_option(index=place + 1)
    match = page.locator("[data-pair] select").first.locator("option:checked").inner_text()
    expect(down).to_have_accessible_name(re.compile(f", with {re.escape(match)}$"))
    before = matches(page)
    assert len(set(before)) == len(before)
    assert all(before)
    down.press("Enter")
    assert matches(page) == [before[1], before[0], *before[2:]]
    expect(page.locator("[data-told]")).to_have_text(re.compile(": with .+\\.$"))


def not_an_answer_yet(page: Page) -> None:
    """A slip of the finger is not saved, and the page says so."""
    expect(page.get_by_text("Not saved yet. Press “This is my order” or “Save and continue”")).to_be_visible()
    expect(page.get_by_role("status")).to_have_text("")
    assert not any(page.locator("[data-order] select").nth(n).input_value() for n in range(2))


def test_each_kind_by_keyboard(watched: Watched, demo_server: Server, axe: Callable[[Page], None]) -> None:
    page = watched.open(demo_server)
    for kind in each_kind(page, demo_server):
        assert not NAMELESS.findall(page.locator("main").aria_snapshot()), kind
        axe(page)
        if kind == "measure":
            unreadable(page)
        by_keyboard(page, kind)
        expect(page.get_by_role("status")).to_have_text("Saved")
        given = page.locator(".answers").aria_snapshot()
        go_on(page)
        if kind != "order":  # with its steps shown again, in the order of the form
            assert page.locator(".answers").aria_snapshot() == given, kind


def unreadable(page: Page) -> None:
    page.get_by_label("Your answer, in").fill("about an inch")
    page.get_by_role("button", name="Save and continue").click()
    expect(page.locator(".errors")).to_contain_text("We can't read that. Write a number in digits")
    expect(page.get_by_label("Your answer, in")).to_have_value("about an inch")
    page.get_by_label("Your answer, in").clear()


def test_each_kind_without_scripts(watched: Watched, demo_server: Server) -> None:
    page = watched.open(demo_server, size="phone", javascript=False)
    for kind in each_kind(page, demo_server):
        assert not NAMELESS.findall(page.locator("main").aria_snapshot()), kind
        expect(page.locator(":is([data-by], [data-arrows], [data-press], [data-aloud]):visible")).to_have_count(0)
        match kind:
            case "one" | "spot" | "several":
                page.locator(".answer").first.click()
            case "order" | "pair":
                lists = page.locator(".answers select")
                for place in range(lists.count()):
                    lists.nth(place).select_option(index=place + 1)
            case "measure":
                unreadable(page)
                page.get_by_label("Your answer, in").fill("1 1/2")
        go_on(page, refused=kind == "measure")
        expect(page.get_by_role("status")).to_have_text("Saved")


def test_each_kind_by_touch(watched: Watched, demo_server: Server) -> None:
    phone = {"width": 360, "height": 740}
    page = watched.browser.new_context(base_url=demo_server.url, has_touch=True, viewport=phone).new_page()  # type: ignore[arg-type]
    for kind in each_kind(page, demo_server):
        match kind:
            case "order":
                page.locator("[data-by='1']").first.tap()
                not_an_answer_yet(page)
                save_by_touch(page)
                page.go_back()
                expect(page.get_by_text("This is your answer.")).to_be_visible()
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
        if kind not in ("order", "pair"):  # a list is chosen from without a press that scrolls there
            expect(page.locator("[data-saved=Saved]").first).to_be_in_viewport()
        save_by_touch(page)


def save_by_touch(page: Page) -> None:
    before = page.url
    page.get_by_role("button", name="Save and continue").tap()
    expect(page).not_to_have_url(before)
    page.wait_for_load_state()


@pytest.mark.parametrize("size", ["phone", "tablet"])
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
