"""For each kind of question: "Saved" is true at every moment, and only this server's own refusal drops an answer."""

from itertools import pairwise

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Watched
from tests.browser.quizzes.giving import Asking, Obstacle, at_question, each_kind
from tests.browser.quizzes.quizzing import CODE, expect_kept, sign_in
from tests.browser.server import Server
from tests.browser.walking import model_of, send

# The status and the answer at every frame, from before the page's own scripts ran.
WATCH = """(() => {
    const OWN = ["revision", "csrfmiddlewaretoken"];
    window.frames_seen = [];
    const look = () => {
        const form = document.querySelector("form[data-save]");
        const said = document.getElementById("said");
        if (form && said) {
            const shown = getComputedStyle(said).visibility === "hidden" ? "" : said.textContent.trim();
            frames_seen.push([shown, JSON.stringify([...new FormData(form)].filter(([name]) => !OWN.includes(name)))]);
        }
        requestAnimationFrame(look);
    };
    look();
})()"""
PORTAL = "<!doctype html><title>Sign in to the network</title><h1>Welcome</h1>"
OBSTACLES: list[dict[str, object]] = [
    {"status": 403, "body": "Blocked by the web filter"},
    {"status": 302, "headers": {"location": "http://portal.invalid/"}},
    {"status": 302, "headers": {"location": "/sign-in/"}},
    {"status": 200, "content_type": "text/html", "body": PORTAL},
    {"status": 200, "content_type": "application/json", "body": "{}"},
    *({"status": status, "body": "No"} for status in (400, 404, 408, 409, 413, 422, 429, 500, 502, 503)),
]


@each_kind("one", "order")
def test_new_answer_never_stands_under_an_old_saved_when_saves_hang(page: Page, demo_server: Server, kind: str) -> None:
    asking = at_question(page, demo_server, kind)
    asking.give(0)
    asking.expect_saved()
    page.evaluate(WATCH)
    old = page.evaluate("frames_seen.at(-1)[1]")
    obstacle = Obstacle(page)
    asking.give(1)
    new = asking.shown()
    page.add_init_script(WATCH)
    page.reload()
    expect(page.locator("#said")).to_contain_text("Saving")
    assert asking.shown() == new
    frames = page.evaluate("frames_seen")
    assert frames
    told_saved = {answer for status_text, answer in frames if "Saved" in status_text}
    assert told_saved <= {old}, "a new answer stood under the old “Saved”"
    obstacle.lift()
    asking.expect_saved()
    assert asking.stored() == new


@each_kind("several", "measure")
def test_answer_is_sent_again_when_another_system_responds(page: Page, demo_server: Server, kind: str) -> None:
    page.clock.install()
    asking = at_question(page, demo_server, kind)
    question = page.url
    for turn, fulfilled in enumerate(OBSTACLES):
        obstacle = Obstacle(page, **fulfilled)
        asking.give(turn)
        expect(page.locator("#said")).to_contain_text("Trying again…")
        expect_kept(page, 1)
        shown_answer = asking.shown()
        page.clock.fast_forward(1100)
        obstacle.expect_tries(2)
        expect(page.get_by_text("Sign out, then")).to_have_count(0)
        obstacle.lift()
        let_retries_pass(asking)
        asking.expect_saved()
        assert asking.stored() == shown_answer, fulfilled
        assert page.url == question, f"{fulfilled}: the page moved on by itself"


def let_retries_pass(asking: Asking) -> None:
    """Moves the page's clock on. On a busy machine a try that failed may not have planned the next one yet."""
    for _ in range(20):
        asking.page.clock.fast_forward(2100)
        if "Saved" in asking.page.locator("#said").inner_text():
            return
        asking.page.wait_for_timeout(50)


@each_kind("order", "spot")
def test_leaving_asks_first_and_keeps_the_answer(page: Page, demo_server: Server, kind: str) -> None:
    asking = at_question(page, demo_server, kind)
    obstacle = Obstacle(page)
    asking.give(0)
    shown_answer = asking.shown()
    leave = page.get_by_role("link", name="Check my answers").or_(
        page.get_by_role("link", name="Answer this one later")
    )
    leave.click()
    dialog = page.get_by_role("dialog", name="Not saved yet")
    expect(dialog).to_contain_text(f"Question {asking.number}")
    dialog.get_by_role("button", name="Stay here").click()
    assert page.url.endswith(asking.address)
    expect_kept(page, 1)
    leave.click()
    dialog.get_by_role("button", name="Leave this page").click()
    expect(page).not_to_have_url(f"{demo_server.url}{asking.address}")
    expect(page.get_by_role("status")).to_contain_text(f"Question {asking.number} is not saved yet.")
    obstacle.lift()
    expect_kept(page, 0)
    assert asking.stored() == shown_answer


@each_kind("pair", "one")
def test_signing_out_asks_first_and_keeps_the_answer(page: Page, demo_server: Server, kind: str) -> None:
    asking = at_question(page, demo_server, kind)
    obstacle = Obstacle(page)
    asking.give(0)
    shown_answer = asking.shown()
    name = page.locator(".who > span").inner_text()
    page.get_by_role("button", name="Not you? Sign out").click()
    page.get_by_role("dialog").get_by_role("button", name="Sign out").click()
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    obstacle.lift()
    page.goto("/sign-in/")
    sign_in(page, name, CODE)
    expect(page.get_by_role("status")).to_contain_text(f"Question {asking.number} is saved.")
    expect_kept(page, 0)
    assert asking.stored() == shown_answer


@each_kind("measure", "several")
def test_closing_the_tab_asks_first_and_the_next_tab_saves_the_answer(
    page: Page, demo_server: Server, kind: str
) -> None:
    asking = at_question(page, demo_server, kind)
    Obstacle(page)
    asking.give(0)
    shown_answer = asking.shown()
    asked: list[str] = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.accept()))
    next_tab = page.context.new_page()
    page.close(run_before_unload=True)
    next_tab.wait_for_timeout(200)
    assert asked == ["beforeunload"]
    next_tab.goto("/bench/")
    expect(next_tab.get_by_role("status")).to_contain_text(f"Question {asking.number} is saved.")
    assert asking.stored() == shown_answer


@each_kind("spot", "pair")
def test_copied_tab_with_another_answer_shows_a_conflict(page: Page, demo_server: Server, kind: str) -> None:
    asking = at_question(page, demo_server, kind)
    first, second = Obstacle(page), Obstacle(page, others=True)
    asking.give(0)
    copy = copied(page)
    asking.give(1, copy)
    first.lift()
    asking.expect_saved()
    mine, theirs = asking.shown(), asking.shown(copy)
    assert mine != theirs
    second.lift()
    panel = copy.get_by_role("alert")
    expect(panel).to_contain_text("You changed this answer in another tab")
    expect(copy.locator("#said")).to_contain_text("Not saved. Choose which answer to keep.")
    assert panel.locator("[data-saved]").inner_text() != panel.locator("[data-given]").inner_text()
    assert asking.stored() == mine
    assert asking.shown(copy) == theirs
    panel.get_by_role("button", name="Save my answer here").click()
    expect(copy.locator("#said")).to_contain_text("Saved")
    expect_kept(copy, 0)
    assert asking.stored() == theirs


def copied(page: Page) -> Page:
    """The same page in another tab, which begins with all that this tab keeps."""
    with page.expect_popup() as popup:
        page.evaluate("window.open(location.href)")
    expect(popup.value.locator("form[data-live]")).to_have_count(1)
    return popup.value


@each_kind("one", "measure")
def test_page_shows_the_newer_answer_when_another_tab_saved_it(page: Page, demo_server: Server, kind: str) -> None:
    asking = at_question(page, demo_server, kind)
    asking.give(0)
    asking.expect_saved()
    copy = copied(page)
    asking.give(1, copy)
    expect(copy.locator("#said")).to_contain_text("Saved")
    expect(page.locator("#said")).to_contain_text("You changed this answer in another tab.")
    assert asking.shown() == asking.shown(copy) == asking.stored()


def test_page_shows_the_newer_answer_when_it_comes_back_into_view(
    watched: Watched, page: Page, demo_server: Server
) -> None:
    asking = at_question(page, demo_server, "one")
    asking.give(0)
    asking.expect_saved()
    elsewhere = watched.open(demo_server)
    elsewhere.context.add_cookies(page.context.cookies())
    elsewhere.goto(asking.address)
    asking.give(1, elsewhere)
    expect(elsewhere.locator("#said")).to_have_text("Saved")
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    expect(page.locator("#said")).to_contain_text("You changed this answer in another tab.")
    assert asking.shown() == asking.shown(elsewhere) == asking.stored()


@each_kind("several", "order")
@pytest.mark.parametrize("reload", [False, True], ids=["on its page", "after a reload"])
def test_unsaved_answer_shows_the_reason_when_the_quiz_was_handed_in(
    page: Page, demo_server: Server, kind: str, reload: bool
) -> None:
    asking = at_question(page, demo_server, kind)
    obstacle = Obstacle(page)
    asking.give(0)
    expect_kept(page, 1)
    handed_in_elsewhere(asking)
    if reload:
        page.reload()
        expect(page).to_have_url(f"{demo_server.url}{asking.attempt}result/")
    obstacle.lift()
    start = f"Question {asking.number} is not saved." if reload else "Not saved."
    expect(page.locator("#said")).to_contain_text(f"{start} This quiz was handed in. Its answers can't be changed.")
    expect_kept(page, 0)


def handed_in_elsewhere(asking: Asking) -> None:
    """On another computer of the student's, with another answer to this question."""
    page, pk, shown_answer = asking.page, asking.pk, asking.shown()
    for number, sent in enumerate(model_of(asking.server, pk), 1):
        send(page, pk, number, sent)
    if asking.stored() == shown_answer:
        send(page, pk, asking.number, model_of(asking.server, pk, wrong=[asking.number])[asking.number - 1])
    token = page.locator("[name=csrfmiddlewaretoken]").first.input_value()
    done = page.request.post(f"{asking.attempt}hand-in/", form={"csrfmiddlewaretoken": token}, max_redirects=0)
    assert done.status == 302


@each_kind("spot", "pair")
def test_each_press_says_something_while_unsaved(page: Page, demo_server: Server, kind: str) -> None:
    asking = at_question(page, demo_server, kind)
    Obstacle(page)
    texts = []
    for turn in range(3):
        asking.give(turn)
        if kind == "measure":
            page.wait_for_timeout(800)
        page.wait_for_timeout(50)
        texts.append(page.locator("#said").inner_text())
    assert all(first != second for first, second in pairwise(texts)), texts
    assert not [text for text in texts if "Saved" in text], texts


def test_page_stays_open_when_an_answer_changes_after_the_button(page: Page, demo_server: Server) -> None:
    asking = at_question(page, demo_server, "several")
    question = page.url
    obstacle = Obstacle(page)
    asking.give(0)
    page.get_by_role("button", name="Save and continue").click()
    expect(page.get_by_role("status")).to_contain_text("The next page opens when it is saved.")
    asking.give(1)
    expect(page.get_by_role("status")).not_to_contain_text("The next page opens")
    obstacle.lift()
    asking.expect_saved()
    page.wait_for_timeout(300)
    assert page.url == question
    page.get_by_role("button", name="Save and continue").click()
    expect(page).not_to_have_url(question)


# The page's own clock at each try to save, and whether one is on its way. The page asks for other things too.
COUNT_TRIES = """(() => {
    window.tries = [];
    window.on_the_way = 0;
    const fetched = window.fetch;
    window.fetch = async (...asked) => {
        if (!String(asked[0]).includes("/save/")) return fetched(...asked);
        tries.push(Date.now());
        on_the_way += 1;
        try { return await fetched(...asked); } finally { setTimeout(() => { on_the_way -= 1; }, 0); }
    };
})()"""


def gaps_between_tries(page: Page, seconds: int, each_second: str = "") -> list[float]:
    """Seconds between the tries of so many seconds, with these keys pressed in each of them."""
    page.evaluate("tries.length = 0")
    for _ in range(seconds):
        if each_second:
            page.locator(".answers input").press_sequentially(each_second)
        page.clock.fast_forward(1000)
        while page.evaluate("on_the_way"):
            page.wait_for_timeout(10)
    return [(second - first) / 1000 for first, second in pairwise(page.evaluate("tries"))]


def test_pauses_grow_and_typing_does_not_lengthen_them(page: Page, demo_server: Server) -> None:
    page.clock.install()
    page.add_init_script(COUNT_TRIES)
    asking = at_question(page, demo_server, "measure")
    obstacle = Obstacle(page, status=503, body="No")
    asking.give(0)
    page.clock.fast_forward(800)
    expect(page.locator("#said")).to_contain_text("Trying again…")
    typing = gaps_between_tries(page, 20, each_second="1")
    assert len(typing) >= 8, "what is typed is tried soon"
    assert min(typing) >= 2, "and hurries no more than that"
    quiet = gaps_between_tries(page, 40)
    assert quiet[0] <= 5, "many keys make no long pause"
    assert quiet == sorted(quiet)
    assert quiet[-1] >= 2 * quiet[0]
    obstacle.lift()
    page.clock.fast_forward(31_000)
    asking.expect_saved()


def test_token_of_an_earlier_sign_in_is_replaced_without_a_reload(page: Page, demo_server: Server) -> None:
    page.clock.install()
    asking = at_question(page, demo_server, "one")
    name = page.locator(".who > span").inner_text()
    other = page.context.new_page()
    other.goto("/bench/")
    other.get_by_role("button", name="Not you? Sign out").click()
    expect(other.get_by_role("heading", name="Sign in")).to_be_visible()
    page.clock.fast_forward(2000)  # the first tab looks whether it is unused
    sign_in(other, name, CODE)
    expect(other.get_by_role("button", name="Not you? Sign out")).to_be_visible()
    asking.give(1)
    asking.expect_saved()


def test_changed_answer_hides_the_saved_message_without_scripts(page_without_js: Page, demo_server: Server) -> None:
    asking = at_question(page_without_js, demo_server, "one")
    asking.give(0)
    page_without_js.get_by_role("button", name="Save and continue").click()
    page_without_js.goto(asking.address)
    expect(page_without_js.locator("#said")).to_be_visible()
    asking.give(1)
    expect(page_without_js.locator("#said")).to_be_hidden()
    expect(page_without_js.get_by_text("Press “Save and continue” to save a change.")).to_be_visible()
