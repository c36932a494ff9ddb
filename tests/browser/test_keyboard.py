"""A student with a keyboard alone: sign in, take a quiz, miss it, learn again, pass. No mouse anywhere."""

from playwright.sync_api import Locator, Page, expect

from quizzes.questions.answering import Sent
from tests.browser.server import Server
from tests.browser.walking import (
    DEMO_CODE,
    attempt_begun,
    fill_somehow,
    in_order_of_steps,
    model_of,
    question,
    send,
    wait_it_out,
    words_to_recall,
)

# Someone who has not begun this quiz yet, and its subject.
NOT_BEGUN = """
    SELECT p.sign_in_name, b.subject FROM school_person p JOIN school_enrolment e ON e.student_id = p.id
    JOIN quizzes_bank b ON b.code = 'mitre-saw' AND b.school_id = p.school_id WHERE p.locked_at IS NULL
    AND NOT EXISTS (SELECT 1 FROM quizzes_attempt a WHERE a.student_id = p.id AND a.bank_id = b.id)
    ORDER BY p.id LIMIT 1
"""
MOST_TABS = 90
# It has the focus, and a solid line round it or round the row it is in says so.
SEEN = """e => e === document.activeElement && e.matches(':focus-visible')
    && [e, e.closest('label')].some(one => one && getComputedStyle(one).outlineStyle === 'solid')"""


def test_sign_in_quiz_miss_cards_and_pass_by_keyboard_alone(page: Page, demo_server: Server) -> None:
    [(name, subject)] = demo_server.rows(NOT_BEGUN)
    page.goto("/sign-in/")
    write(page, page.get_by_label("Your name"), str(name))
    write(page, page.get_by_label("Sign-in code"), DEMO_CODE)
    press(page, page.get_by_role("button", name="Sign in"))
    press(page, page.get_by_role("link", name=f"{subject} 8"))
    press(page, page.get_by_role("link", name="Start the quiz").last)
    press(page, page.get_by_role("button", name="Start the quiz"))
    missed = attempt_begun(page)
    take_quiz(page, model_of(demo_server, missed, wrong=[1]))
    expect(page.get_by_role("heading", name="Not yet. 1 rule to learn again.")).to_be_visible()
    [word] = words_to_recall(demo_server, missed)
    press(page, page.get_by_role("link", name="Read the card"))
    press(page, page.get_by_role("button", name="I have read it. Cover it"))
    write(page, page.get_by_label("blank"), word)
    page.keyboard.press("Enter")
    press(page, page.get_by_role("link", name="Go to the check question"))
    fill_somehow(page)
    press(page, page.get_by_role("button", name="Check my answer"))
    press(page, page.get_by_role("link", name="Continue"))
    expect(page.locator(".notice")).to_contain_text("Wait until")
    wait_it_out(demo_server, missed)
    page.reload()
    press(page, page.get_by_role("button", name="Try again"))
    finish(page, demo_server)
    expect(page.get_by_role("heading", name="Every answer was right.")).to_be_visible()


def finish(page: Page, server: Server) -> None:
    """The rest is answered as the quiz before it, so only the last question is opened again."""
    again = attempt_begun(page)
    *most, last = model_of(server, again)
    for number, sent in enumerate(most, 1):
        send(page, again, number, sent)
    page.wait_for_load_state()
    page.goto(question(again, len(most) + 1))
    give(page, last)
    press(page, page.get_by_role("button", name="Save and continue"))
    press(page, page.get_by_role("button", name="Hand in my answers"))


def tab_to(page: Page, target: Locator) -> None:
    """Tab after Tab until it has the focus, and the focus is seen."""
    target.wait_for()
    for _ in range(MOST_TABS):
        page.keyboard.press("Tab")
        if target.evaluate(SEEN):
            return
    raise AssertionError(f"no way by Tab to {target}")


def press(page: Page, target: Locator) -> None:
    tab_to(page, target)
    page.keyboard.press("Enter")


def write(page: Page, field: Locator, text: str) -> None:
    tab_to(page, field)
    page.keyboard.type(text)


def take_quiz(page: Page, answers: list[Sent]) -> None:
    for number, sent in enumerate(answers, 1):
        expect(page.get_by_text(f"Question {number} of {len(answers)}", exact=True)).to_be_visible()
        give(page, sent)
        press(page, page.get_by_role("button", name="Save and continue"))
    press(page, page.get_by_role("button", name="Hand in my answers"))


def give(page: Page, sent: Sent) -> None:
    for name, values in in_order_of_steps(sent):
        field = page.locator(f"[name='{name}']")
        kind = field.first.get_attribute("type")
        if name.startswith("step-"):
            press(page, page.locator(f"#{name}"))
        elif name != "answer":
            tab_to(page, field)
            options = field.locator("option").evaluate_all("all => all.map(one => one.value)")
            for _ in range(options.index(values[0])):
                page.keyboard.press("ArrowDown")
            expect(field).to_have_value(values[0])
        elif kind == "radio":
            choose_one(page, field, values[0])
        elif kind == "checkbox":
            # Tab goes down the page, so the ticks are set in the page's order.
            for box in field.all():
                if box.get_attribute("value") in values:
                    tab_to(page, box)
                    page.keyboard.press("Space")
        else:
            write(page, field, values[0])


def choose_one(page: Page, radios: Locator, value: str) -> None:
    """A group of radio buttons is one stop of the Tab key; the arrows go on from there."""
    tab_to(page, radios.first)
    page.keyboard.press("Space")
    for radio in radios.all():
        if radio.get_attribute("value") == value:
            expect(radio).to_be_checked()
            return
        page.keyboard.press("ArrowDown")
    raise AssertionError(f"{value} is not on the page")
