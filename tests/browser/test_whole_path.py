"""The whole job once through, as a teacher and a student: from the class list to the card on the wall."""

import re
from pathlib import Path

import pytest
from playwright.sync_api import Page, Route, expect

from shopsafe.school.signing_in.rules.slips import ALPHABET
from tests.browser.conftest import Watched, every_run
from tests.browser.server import Server
from tests.browser.walking import (
    ODILE,
    answer_check_questions,
    attempt_begun,
    go_to,
    sign_in,
    take_quiz,
    wait_it_out,
    words_of,
    words_to_recall,
)

NAME, SHORT = "Wren Hollis", "Wren H."
CLASS, MACHINE = "7 Alder", "Drill press 1"
LIST = f"Last name\tFirst name\tID\n{NAME.split()[1]}\t{NAME.split()[0]}\t907001\n"
FOLLOW = "Follow the shop rules and the maker's manual. They come first."


@pytest.mark.parametrize("javascript", every_run([True, False], True), ids=["with scripts", "without scripts"])
def test_from_the_class_list_to_the_card_on_the_wall(
    watched: Watched, demo_server: Server, tmp_path: Path, javascript: bool
) -> None:
    desk = watched.open(demo_server, javascript=javascript)
    bench = watched.open(demo_server, size="phone", javascript=javascript)
    sign_in(desk, *ODILE)
    bring_in(desk)
    code = slip_code(desk, tmp_path / "slip.pdf")
    record_agreement(desk)
    sign_in(bench, NAME, code)
    learn_the_general_rules(bench, demo_server)
    learn_the_machine(bench, demo_server)
    show_on_the_tablet(watched.open(demo_server, size="tablet", javascript=javascript))
    expect_cleared(desk, bench)
    hang_up(desk, tmp_path)


def bring_in(desk: Page) -> None:
    go_to(desk, "Classes")
    desk.get_by_role("link", name=f"Import a class list for {CLASS}").click()
    desk.get_by_label("Or paste it").fill(LIST)
    desk.get_by_role("button", name="Look at the rows").click()
    expect(desk.get_by_role("heading", name="1 row: 1 ready")).to_be_visible()
    desk.get_by_role("button", name="Add the 1 who is ready").click()
    expect(desk.get_by_role("status")).to_contain_text("1 added.")


def slip_code(desk: Page, file: Path) -> str:
    download(desk, "Print this slip", file)
    words = words_of(file)
    assert NAME in words
    code_match = re.search(rf"\b[{ALPHABET}]{{4}}-[{ALPHABET}]{{4}}\b", words)
    assert code_match, words
    return code_match[0]


def download(desk: Page, button: str, file: Path) -> None:
    """Presses a button that gives a PDF, and keeps it. The browser's own viewer is no part of the program."""

    def keep(route: Route) -> None:
        if route.request.method != "POST":
            route.fallback()
            return
        response = route.fetch()
        route.fulfill(response=response, headers=response.headers | {"content-disposition": "attachment"})

    desk.route("**/*", keep)
    with desk.expect_download() as coming:
        desk.get_by_role("button", name=button).click()
    coming.value.save_as(file)
    desk.unroute("**/*")


def record_agreement(desk: Page) -> None:
    desk.reload()
    desk.get_by_label(f"{NAME}, 907001").check()
    desk.get_by_role("button", name="Record the safety agreement").click()
    expect(desk.get_by_role("status")).to_contain_text("Safety agreement recorded for 1 student.")


def learn_the_general_rules(bench: Page, server: Server) -> None:
    """Missed, learned again card by card, waited for, and then perfect on a fresh form."""
    expect(bench.locator(".next")).to_contain_text("General shop safety: the quiz")
    bench.locator(".next").get_by_role("link", name="Start the quiz").click()
    bench.get_by_role("button", name="Start the quiz").click()
    missed = attempt_begun(bench)
    take_quiz(bench, server, wrong=[2, 5])
    expect(bench.get_by_role("heading", name="Not yet.")).to_contain_text("2 rules to learn again.")
    read_the_cards(bench, words_to_recall(server, missed))
    answer_check_questions(bench, rules=2)
    expect(bench.locator(".notice")).to_contain_text("Wait until")
    expect(bench.get_by_role("button", name="Try again")).to_have_count(0)
    wait_it_out(server, missed)
    bench.reload()
    bench.get_by_role("button", name="Try again").click()
    assert attempt_begun(bench) != missed
    take_quiz(bench, server, opened=2)
    expect(bench.get_by_role("heading", name="Every answer was right.")).to_be_visible()


def read_the_cards(bench: Page, words: list[str]) -> None:
    for word in words:
        bench.get_by_role("link", name="Read the card").first.click()
        bench.get_by_role("button", name="I have read it. Cover it").click()
        bench.get_by_label("blank").fill("not that")
        bench.get_by_role("button", name="Check it").click()
        expect(bench.get_by_role("alert")).to_contain_text("Not that word yet")
        bench.get_by_label("blank").fill(word)
        bench.get_by_role("button", name="Check it").click()


def learn_the_machine(bench: Page, server: Server) -> None:
    bench.get_by_role("link", name="My machines").first.click()
    bench.get_by_role("link", name=MACHINE).click()
    bench.get_by_role("link", name="Start the quiz").click()
    bench.get_by_role("button", name="Start the quiz").click()
    take_quiz(bench, server, opened=2)
    expect(bench.get_by_text("This quiz alone lets you use no machine.")).to_be_visible()
    bench.get_by_role("link", name="My machines").first.click()
    expect(bench.locator(".next")).to_contain_text("Drill press 1 and 2: show your teacher")


def show_on_the_tablet(tablet: Page) -> None:
    sign_in(tablet, *ODILE)
    tablet.get_by_role("link", name="Machines").click()
    tablet.get_by_role("link", name=MACHINE).first.click()
    tablet.get_by_role("link", name=SHORT).click()
    for point in tablet.locator("input[name=point]").all():
        point.check()
    tablet.get_by_role("button", name=f"Sign off {SHORT} on drill press 1").click()
    expect(tablet.get_by_role("status")).to_contain_text(f"Signed off {SHORT} on drill press 1.")


def expect_cleared(desk: Page, bench: Page) -> None:
    go_to(desk, "Clearances")
    desk.get_by_role("link", name=CLASS).click()
    expect(desk.get_by_role("row", name=NAME).get_by_role("cell").first).to_contain_text("Cleared")
    bench.reload()
    expect(bench.locator(".may")).to_contain_text(MACHINE)


def hang_up(desk: Page, folder: Path) -> None:
    go_to(desk, "Print")
    desk.get_by_label("Machine", exact=True).select_option(label=MACHINE)
    desk.get_by_label(CLASS).check()
    download(desk, "Make the PDF", folder / "card.pdf")
    desk.get_by_role("link", name="Wall chart").click()
    expect(desk.get_by_role("heading", name="Wall chart")).to_be_visible()
    desk.get_by_label("Class").select_option(label=CLASS)
    download(desk, "Make the PDF", folder / "chart.pdf")
    for sheet in ("card.pdf", "chart.pdf"):
        words = " ".join(words_of(folder / sheet).split())
        assert SHORT in words or NAME in words, words
        assert FOLLOW in words, words
