"""What people do in front of the screen: sign in, answer a quiz, read the cards. For tests that walk a whole path."""

import json
import re
import subprocess
from collections.abc import Collection, Sequence
from pathlib import Path
from urllib.parse import urlencode
from uuid import UUID

from playwright.sync_api import Page, expect

from quizzes.banks.rules.data import from_data
from quizzes.facts import BankText, FormQuestion
from quizzes.questions import model_answers
from quizzes.questions.answering import Sent
from quizzes.questions.form_data import lines_of
from tests.browser.server import Server

DEMO_CODE = "DEMA7K3D"
ODILE = ("Odile Ferrant", "plumb line and level")  # teaches
SIGNE = ("Signe Brandvold", "spare key on the hook")  # substitutes
LOTTE = ("Lotte Achterberg", "ledger on the top shelf")  # keeps the office


def sign_in(page: Page, name: str, code: str) -> None:
    page.goto("/sign-in/")
    page.get_by_label("Your name").fill(name)
    page.get_by_label("Sign-in code").fill(code)
    page.get_by_role("button", name="Sign in").click()


def open_menu(page: Page) -> None:
    """On a phone the places stand behind a button."""
    button = page.get_by_role("button", name="Menu")
    if button.is_visible():
        button.click()


def go_to(page: Page, place: str) -> None:
    """By the main menu: links of the same name may be on the page, too."""
    open_menu(page)
    page.get_by_role("navigation", name="Main").get_by_role("link", name=place, exact=True).click()


def attempt_begun(page: Page) -> UUID:
    """The attempt whose first question has come, from the page's address."""
    page.wait_for_url("**/attempts/*/questions/1/")
    return UUID(page.url.split("/attempts/")[1].split("/")[0])


def bank_of(server: Server, attempt: UUID) -> BankText:
    """The bank as the attempt's edition froze it, with its key: the page never has it."""
    [(content,)] = server.rows(
        "SELECT content FROM quizzes_edition e JOIN quizzes_attempt a ON a.edition_id = e.id WHERE a.id = ?",
        attempt.hex,
    )
    return from_data(json.loads(str(content))["bank"])


def form_of(server: Server, attempt: UUID) -> list[FormQuestion]:
    [(form,)] = server.rows("SELECT form FROM quizzes_attempt WHERE id = ?", attempt.hex)
    return list(lines_of(json.loads(str(form))))


def kinds_of(server: Server, attempt: UUID) -> list[str]:
    """The kind of each question of the form, in its order: so that a test opens only the pages it is about."""
    return [line.kind for line in form_of(server, attempt)]


def model_of(server: Server, attempt: UUID, wrong: Collection[int] = ()) -> list[Sent]:
    """What to give at each question of the form: right, but for the numbers in `wrong`."""
    bank = bank_of(server, attempt)
    return [
        model_answers.wrong_answer(question, line)
        if number in wrong
        else model_answers.right_answer(question, line, bank.value_by_code)
        for number, line in enumerate(form_of(server, attempt), 1)
        for question in [bank.question_by_code[line.code]]
    ]


def in_order_of_steps(sent: Sent) -> list[tuple[str, Sequence[str]]]:
    """The fields of an order by the step of each, first to last, as they are pressed; other fields as they come."""
    return sorted(sent.items(), key=lambda field: int(field[1][0]) if field[0].startswith("step-") else 0)


def give(page: Page, sent: Sent) -> None:
    """Fills in one question's page as it would be sent."""
    for name, values in in_order_of_steps(sent):
        field = page.locator(f"[name='{name}']")
        if name.startswith("step-"):
            page.locator(f"#{name}").click()
        elif name != "answer":
            field.select_option(values[0])
        elif field.first.get_attribute("type") in ("radio", "checkbox"):
            for value in values:
                page.locator(f"[name='{name}'][value='{value}']").check()
        else:
            field.fill(values[0])


def take_quiz(page: Page, server: Server, wrong: Collection[int] = (), *, opened: int | None = None) -> None:
    """From the first question of an attempt to its result.

    With `opened` only so many questions and the last are answered on the screen; the others are sent as it sends them.
    """
    attempt = attempt_begun(page)
    answers = model_of(server, attempt, wrong)
    last = len(answers)
    unseen = range(last if opened is None else opened + 1, last)
    for number in unseen:
        send(page, attempt, number, answers[number - 1])
    for number in sorted({*range(1, last + 1)} - {*unseen}):
        if number - 1 in unseen:
            expect_question(page, unseen[0], last)  # the page is on its way there
            page.goto(question(attempt, number))
        expect_question(page, number, last)
        give(page, answers[number - 1])
        page.get_by_role("button", name="Save and continue").click()
    expect(page.get_by_role("heading", name="Check your answers")).to_be_visible()
    page.get_by_role("button", name="Hand in my answers").click()


def expect_question(page: Page, number: int, last: int) -> None:
    expect(page.get_by_text(f"Question {number} of {last}", exact=True)).to_be_visible()


def question(attempt: UUID, number: int) -> str:
    return f"/attempts/{attempt}/questions/{number}/"


def send(page: Page, attempt: UUID, number: int, sent: Sent) -> None:
    """Sends an answer with what the form of its page carries, by the page's session, without showing the page."""
    address = question(attempt, number)
    form = page.request.get(address).text()
    hidden = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', form))
    answer = page.request.post(
        address,
        data=urlencode(hidden | dict(sent), doseq=True),
        headers={"content-type": "application/x-www-form-urlencoded"},
        max_redirects=0,
    )
    assert answer.status == 302, answer.text()


def missed_rules(server: Server, attempt: UUID) -> list[str]:
    [(codes,)] = server.rows("SELECT missed_rules FROM quizzes_attempt WHERE id = ?", attempt.hex)
    return list(json.loads(str(codes)))


def words_to_recall(server: Server, attempt: UUID) -> list[str]:
    """The word that each missed rule's card asks for, in the order of the cards."""
    rules = bank_of(server, attempt).rule_by_code
    return [recall.key[0] for code in missed_rules(server, attempt) if (recall := rules[code].recall)]


def answer_check_questions(page: Page, rules: int) -> None:
    """After the cards, one question on each missed rule. Any full answer leads on: they count for nothing."""
    page.get_by_role("link", name="Go to the check question").click()
    for number in range(1, rules + 1):
        expect(page.get_by_text(f"Check question {number} of {rules}. It does not count.")).to_be_visible()
        fill_somehow(page)
        page.get_by_role("button", name="Check my answer").click()
        expect(page.get_by_role("heading", level=1)).to_have_text(re.compile(r"^(Right|Not yet right)\.$"))
        page.get_by_role("link", name="Next check question" if number < rules else "Continue").click()


def fill_somehow(page: Page) -> None:
    """A full answer to the question on the page, whatever its kind."""
    answer, selects = page.locator("fieldset [name='answer']"), page.locator("fieldset select")
    steps = page.locator("[data-order] button")
    if selects.count():
        for place in range(selects.count()):
            selects.nth(place).select_option(index=place + 1)
    elif steps.count():
        for place in range(steps.count()):
            steps.nth(place).click()
    elif answer.first.get_attribute("type") in ("radio", "checkbox"):
        answer.first.check()
    else:
        answer.fill("7")


def wait_it_out(server: Server, attempt: UUID) -> None:
    """The waiting time after the check, without the wait: all was read and answered that much earlier."""
    earlier = f"-{bank_of(server, attempt).blueprint.wait_minutes + 1} minutes"
    server.write(
        "UPDATE quizzes_ruleread SET opened_at = datetime(opened_at, ?), recalled_at = datetime(recalled_at, ?),"
        " checked_at = datetime(checked_at, ?) WHERE attempt_id = ?",
        *(earlier, earlier, earlier, attempt.hex),
    )


def words_of(pdf: Path) -> str:
    """The text of a PDF, as a reader copies it out."""
    return subprocess.run(["pdftotext", "-layout", str(pdf), "-"], check=True, capture_output=True, text=True).stdout
