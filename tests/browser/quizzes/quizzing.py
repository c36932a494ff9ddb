"""A student in the browser: signs in, begins a quiz, finds a question of a kind, answers it."""

import re
from uuid import UUID

from playwright.sync_api import BrowserContext, Page, expect

from tests.browser.server import Server
from tests.browser.walking import kinds_of

STUDENT, CODE = "Inga Vale", "DEMA7K3D"
CHOSEN = ".answers input:checked"
QUIZZES = 6  # that a student may begin until a question of a kind was met
NOT_BEGUN = """SELECT DISTINCT bank_id FROM quizzes_edition WHERE bank_id NOT IN
    (SELECT a.bank_id FROM quizzes_attempt a JOIN school_person p ON p.id = a.student_id WHERE p.name = ?) ORDER BY 1"""


def sign_in(page: Page, name: str = STUDENT, code: str = CODE) -> None:
    page.get_by_label("Your name").fill(name)
    page.get_by_label("Sign-in code").fill(code)
    page.get_by_role("button", name="Sign in").click()


def begin(page: Page) -> str:
    """Signs the student in and starts the first quiz that is not begun; the address of the attempt."""
    page.goto("/sign-in/?next=/quizzes/")
    sign_in(page)
    rows = page.locator(".quiz-row").filter(has_text="Not started.")
    rows.first.get_by_role("link", name="Open quiz").click()
    page.get_by_role("button", name="Start the quiz").click()
    expect(page.get_by_text("Question 1 of")).to_be_visible()
    address_match = re.match(r".*(/attempts/[^/]+/)", page.url)
    assert address_match
    return address_match[1]


def begin_with(page: Page, server: Server, *kinds: str) -> tuple[str, int]:
    """Begins quizzes until one asks a question of these kinds, and opens it: (address of the attempt, its number).

    What a form asks is drawn: one in some dozens has no question of a given kind. The way there is sent, not shown: the
    tests are about the page of the question.
    """
    submit(page, "/sign-in/", name=STUDENT, code=CODE)
    for (bank,) in server.rows(NOT_BEGUN, STUDENT)[:QUIZZES]:
        attempt = submit(page, f"/quizzes/{bank}/start/").removesuffix("questions/1/")
        if any(kind in kinds for _, kind in numbered(server, attempt)):
            return attempt, go_to(page, server, attempt, *kinds)
    raise AssertionError(f"no question of {kinds}")


def submit(page: Page, address: str, **fields: str) -> str:
    """Sends a form by the page's session without showing the page; where the answer leads."""
    page.request.get("/sign-in/", max_redirects=0)  # brings a token, if there is none yet
    token = next(cookie["value"] for cookie in page.context.cookies() if cookie["name"] == "csrf")
    answer = page.request.post(address, form={**fields, "csrfmiddlewaretoken": token}, max_redirects=0)
    assert answer.status == 302, f"{address}: {answer.status}"
    return answer.headers["location"]


def kind_of(page: Page) -> str:
    if page.locator("[data-order]").count():
        return "order"
    if page.locator("select[name^=pair-]").count():
        return "pair"
    if page.locator(".measure").count():
        return "measure"
    if page.locator(".answers [type=checkbox]").count():
        return "several"
    return "spot" if page.get_by_text("choose its letter").count() else "one"


def go_to(page: Page, server: Server, attempt: str, *kinds: str) -> int:
    """Opens the first question of one of these kinds; its number."""
    number = next(number for number, kind in numbered(server, attempt) if kind in kinds)
    page.goto(f"{attempt}questions/{number}/")
    assert kind_of(page) in kinds
    return number


def numbered(server: Server, attempt: str) -> list[tuple[int, str]]:
    """Number and kind of each question of the form."""
    return list(enumerate(kinds_of(server, UUID(attempt.split("/")[2])), 1))


def expect_kept(page: Page, count: int) -> None:
    """So many answers this tab keeps because they are not saved yet, at once or soon, also while it goes to a page."""
    waiting = "(count) => Object.keys(sessionStorage).filter((key) => key.startsWith('waiting ')).length === count"
    page.wait_for_function(waiting, arg=count, timeout=10_000)


def end_session(context: BrowserContext) -> None:
    context.clear_cookies(name="shopsafe")
