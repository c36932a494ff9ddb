"""Answers outlive the network, the server, the session and the second window; nothing shown as saved is lost."""

import json
import re
from uuid import UUID

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Watched
from tests.browser.quizzes.quizzing import CHOSEN, begin, begin_with, end_session, expect_kept, go_to, sign_in
from tests.browser.server import Server
from tests.browser.walking import model_of, send

NOT_SAVED = re.compile("not saved.* Trying again…", re.IGNORECASE)
EITHER = pytest.mark.parametrize("javascript", [True, False], ids=["with scripts", "without scripts"])


def stored(server: Server, attempt: str) -> list[tuple[object, object]]:
    """(response, revision) of each answer of the attempt."""
    which = attempt.split("/")[2].replace("-", "")
    sql = "SELECT response, revision FROM quizzes_answer WHERE attempt_id = ? ORDER BY id"
    return [(json.loads(str(response)), revision) for response, revision in server.rows(sql, which)]


def choose(page: Page, place: int) -> str:
    option = page.locator(".answers input").nth(place)
    value = str(option.get_attribute("value"))
    option.click()  # the page may be gone a moment later
    return value


def said(page: Page, words: str | re.Pattern[str]) -> None:
    expect(page.get_by_role("status")).to_have_text(words)


def test_an_answer_given_without_network_is_saved_when_it_is_back(page: Page, demo_server: Server) -> None:
    attempt, number = begin_with(page, demo_server, "one", "spot")
    first = choose(page, 0)
    said(page, "Saved")
    assert stored(demo_server, attempt) == [({"chosen": first}, 1)]
    page.context.set_offline(True)
    choose(page, 1)
    said(page, NOT_SAVED)
    third = choose(page, 2)
    page.get_by_role("button", name="Save and continue").dblclick()
    said(page, NOT_SAVED)
    assert page.locator(CHOSEN).get_attribute("value") == third
    assert stored(demo_server, attempt) == [({"chosen": first}, 1)]
    page.context.set_offline(False)
    expect(page).not_to_have_url(page.url)
    assert f"/questions/{number}/" not in page.url
    ((response, revision),) = stored(demo_server, attempt)
    assert response == {"chosen": third}
    assert revision in (2, 3)  # the second choice may have gone first
    expect_kept(page, 0)
    page.go_back()
    assert page.locator(CHOSEN).get_attribute("value") == third


def test_an_answer_outlives_the_server_and_a_reload(page: Page, demo_server: Server) -> None:
    attempt, number = begin_with(page, demo_server, "one", "spot")
    saved = choose(page, 0)
    said(page, "Saved")
    demo_server.kill()
    chosen_value = choose(page, 1)
    said(page, NOT_SAVED)
    expect_kept(page, 1)
    demo_server.start()
    page.reload()
    assert chosen_value != saved
    expect(page.locator(CHOSEN)).to_have_attribute("value", chosen_value)  # the one before is there until the script is
    expect_kept(page, 0)
    said(page, "Saved")
    assert stored(demo_server, attempt) == [({"chosen": chosen_value}, 2)]
    # The same for a question that was left before it could be saved: the next page sends it.
    page.context.set_offline(True)
    last = choose(page, 2)
    said(page, NOT_SAVED)
    page.context.set_offline(False)
    page.goto(f"{attempt}questions/{number}/")
    page.goto(attempt)
    expect(page.get_by_role("heading", name="Check your answers")).to_be_visible()
    expect_kept(page, 0)
    assert stored(demo_server, attempt)[0][0] == {"chosen": last}


@EITHER
def test_unchecking_every_box_saves_no_answer(watched: Watched, demo_server: Server, javascript: bool) -> None:
    page = watched.open(demo_server, javascript=javascript)
    attempt, number = begin_with(page, demo_server, "several")
    question = page.url
    choose(page, 0)
    if javascript:
        said(page, "Saved")
        expect(page.locator("[data-counted]")).to_have_text("1")
    else:
        page.get_by_role("button", name="Save and continue").click()
        page.goto(question)
    choose(page, 0)
    if javascript:
        said(page, "Saved: no answer")
        expect(page.locator("[data-counted]")).to_have_text("0")
    page.get_by_role("button", name="Save and continue").click()
    expect(page.locator(".errors")).to_contain_text("Choose at least one answer.")
    expect(page.locator(CHOSEN)).to_have_count(0)
    assert stored(demo_server, attempt) == [({}, 2)]
    page.goto(attempt)
    row = page.locator(".answer-row").filter(has_text=re.compile(rf"Question {number}\b"))
    expect(row).to_contain_text("Not answered yet.")
    page.goto(question)
    again = choose(page, 1)
    page.get_by_role("button", name="Save and continue").click()
    expect(page).not_to_have_url(question)
    assert stored(demo_server, attempt) == [({"chosen": [again]}, 3)]


@EITHER
def test_a_second_window_overwrites_nothing(watched: Watched, demo_server: Server, javascript: bool) -> None:
    page = watched.open(demo_server, javascript=javascript)
    attempt, number = begin_with(page, demo_server, "one", "spot")
    second = watched.open(demo_server, javascript=javascript)  # another computer: no tab of this browser tells it
    second.context.add_cookies(page.context.cookies())
    second.goto(f"{attempt}questions/{number}/")
    first = choose(page, 0)
    if javascript:
        said(page, "Saved")
    else:
        page.get_by_role("button", name="Save and continue").click()
    choose(second, 1)
    if javascript:
        expect(second.get_by_role("alert")).to_contain_text("You changed this answer in another tab")
        second.get_by_role("button", name="Keep the saved answer").click()
        said(second, "Saved")
    else:
        second.get_by_role("button", name="Save and continue").click()
        expect(second.locator(".errors")).to_contain_text("You changed this answer in another tab.")
    assert second.locator(CHOSEN).get_attribute("value") == first
    assert stored(demo_server, attempt) == [({"chosen": first}, 1)]


def test_an_answer_kept_from_before_overwrites_nothing_newer(page: Page, demo_server: Server) -> None:
    attempt = begin(page)
    unsaved(page, demo_server, attempt)
    second = page.context.new_page()
    second.goto(page.url)
    newer = choose(second, 1)
    said(second, "Saved")
    page.unroute("**/save/")
    page.reload()
    expect(page.get_by_role("alert")).to_contain_text("You changed this answer in another tab")
    expect_kept(page, 1)
    page.get_by_role("button", name="Keep the saved answer").click()
    assert page.locator(CHOSEN).get_attribute("value") == newer
    assert stored(demo_server, attempt) == [({"chosen": newer}, 1)]
    expect_kept(page, 0)


@EITHER
def test_after_the_session_ended_the_student_is_back_at_the_question(
    watched: Watched, demo_server: Server, javascript: bool
) -> None:
    page = watched.open(demo_server, javascript=javascript)
    attempt, number = begin_with(page, demo_server, "one", "spot")
    end_session(page.context)
    chosen_value = choose(page, 1)
    if not javascript:
        page.get_by_role("button", name="Save and continue").click()
    expect(page.get_by_role("button", name="Sign in")).to_be_visible()
    sign_in(page)
    expect(page).to_have_url(f"{demo_server.url}{attempt}questions/{number}/")
    if javascript:
        said(page, "Saved")
        assert page.locator(CHOSEN).get_attribute("value") == chosen_value
    else:
        choose(page, 1)
        page.get_by_role("button", name="Save and continue").click()
        expect(page).not_to_have_url(f"{demo_server.url}{attempt}questions/{number}/")
    assert stored(demo_server, attempt) == [({"chosen": chosen_value}, 1)]


@EITHER
def test_a_page_of_the_one_before_writes_nothing(watched: Watched, demo_server: Server, javascript: bool) -> None:
    page = watched.open(demo_server, javascript=javascript)
    attempt = begin(page)
    go_to(page, demo_server, attempt, "one", "spot")
    other = page.context.new_page()
    end_session(page.context)
    other.goto("/sign-in/")
    sign_in(other, "Abel Moor")
    expect(other.get_by_role("button", name="Not you? Sign out")).to_be_visible()
    with page.expect_response(lambda response: response.request.method == "POST") as answered:
        choose(page, 0)
        if not javascript:
            page.get_by_role("button", name="Save and continue").click()
    assert answered.value.status == 403
    if javascript:
        said(page, re.compile("^Someone else is signed in now. Your work is not saved."))
        expect_kept(page, 0)
        expect(page.get_by_text("Question 1 of").or_(page.locator(".answers")).first).to_be_visible()
    assert not stored(demo_server, attempt)


def unsaved(page: Page, server: Server, attempt: str) -> None:
    """One answer that this tab keeps, since saving does not get through."""
    page.route("**/save/", lambda route: route.abort())
    go_to(page, server, attempt, "one", "spot")
    choose(page, 0)
    said(page, NOT_SAVED)
    expect_kept(page, 1)


def test_signing_out_leaves_nothing_in_the_browser_when_all_is_saved(page: Page, demo_server: Server) -> None:
    begin_with(page, demo_server, "one", "spot")
    choose(page, 0)
    said(page, "Saved")
    page.get_by_role("button", name="Not you? Sign out").click()
    expect(page.get_by_role("button", name="Sign in")).to_be_visible()
    expect_kept(page, 0)
    assert page.evaluate("localStorage.length") == 0


def test_after_a_session_has_ended_the_next_student_finds_nothing(page: Page, demo_server: Server) -> None:
    attempt = begin(page)
    unsaved(page, demo_server, attempt)
    end_session(page.context)
    page.goto("/sign-in/")
    expect_kept(page, 1)
    sign_in(page, "Abel Moor")
    expect(page.get_by_role("button", name="Not you? Sign out")).to_be_visible()
    expect_kept(page, 0)
    assert not stored(demo_server, attempt)


@EITHER
def test_double_click_saves_and_hands_in_once(watched: Watched, demo_server: Server, javascript: bool) -> None:
    page = watched.open(demo_server, javascript=javascript)
    attempt = begin(page)
    before = demo_server.rows("SELECT count(*) FROM logbook_entry")[0][0]
    go_to(page, demo_server, attempt, "one", "spot")
    choose(page, 0)
    question = page.url
    page.get_by_role("button", name="Save and continue").dblclick()
    expect(page).not_to_have_url(question)
    page.wait_for_load_state()
    assert [revision for _, revision in stored(demo_server, attempt)] == [1]
    which = UUID(attempt.split("/")[2])
    for number, sent in enumerate(model_of(demo_server, which, wrong=[1]), 1):
        send(page, which, number, sent)
    page.goto(attempt)
    page.get_by_role("button", name="Hand in my answers").dblclick()
    expect(page).to_have_url(f"{demo_server.url}{attempt}result/")
    assert demo_server.rows("SELECT count(*) FROM logbook_entry")[0][0] == int(str(before)) + 1
