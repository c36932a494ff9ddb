"""From an empty database to a printed wall card by the pages alone, each action counted."""

import json
import re
import time
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Locator, Page, Route

from tests.browser.conftest import Watched
from tests.browser.server import Server, on_a_copy
from tests.browser.walking import words_of

type Axe = Callable[[Page], None]

MOST_ACTIONS, MOST_SECONDS = 40, 600
LIST = "Last name,First name,ID\nVale,Inga,1001\nMárquez,Uma,1002\nOkafor,Tobi,1003\n"


class Hands:
    """A newcomer's hands: every address typed, field filled and button pressed is one action."""

    def __init__(self, page: Page) -> None:
        self.page, self.actions = page, 0

    def go(self, path: str) -> None:
        self.actions += 1
        self.page.goto(path)

    def fill(self, label: str, text: str) -> None:
        self.actions += 1
        self.page.get_by_label(label, exact=False).first.fill(text)

    def press(self, name: str, role: str = "button") -> None:
        self.actions += 1
        self.page.get_by_role(role, name=re.compile(name)).first.click()  # type: ignore[arg-type]

    def follow(self, name: str) -> None:
        self.press(name, "link")

    def print(self, name: str, file: Path) -> None:
        """Presses what gives a PDF, and keeps it: the browser's own viewer is no part of the program."""
        self.page.route("**/*", keep)
        with self.page.expect_download() as coming:
            self.press(name)
        coming.value.save_as(file)
        self.page.unroute("**/*")

    def choose(self, choice: Locator) -> None:
        self.actions += 1
        choice.check()

    def tick(self, place: int) -> None:
        self.actions += 1
        self.page.get_by_role("checkbox").nth(place).check()


def keep(route: Route) -> None:
    response = route.fetch()
    disposition = {"content-disposition": "attachment"} if "pdf" in response.headers.get("content-type", "") else {}
    route.fulfill(response=response, headers=response.headers | disposition)


def empty_server(prepared: Path, own: Path) -> Server:
    """Tables, and nothing in them: what a school begins with."""
    return on_a_copy(prepared, own, "empty.sqlite3").start()


def test_from_an_empty_database_to_a_wall_card(watched: Watched, prepared: Path, tmp_path: Path, axe: Axe) -> None:
    server = empty_server(prepared, tmp_path / "server")
    try:
        page = watched.open(server)
        began = time.monotonic()
        page.goto("/")
        axe(page)
        actions = first_run(Hands(page), server, tmp_path, axe)
        seconds = time.monotonic() - began
        print(f"first run: {actions} actions, {seconds:.0f} s of machine time")
        assert actions <= MOST_ACTIONS
        assert seconds <= MOST_SECONDS
        assert server.rows("SELECT count(*) FROM machines_print") == [(1,)]
        assert server.rows("SELECT count(*) FROM school_person WHERE role = 'student'") == [(3,)]
        page.goto("/first-run/")
        assert "All five steps are done." in page.inner_text("main")
        axe(page)
        assert json.loads(server.manage("logbook", "verify"))["holds"] is True
    finally:
        server.stop()


def first_run(hands: Hands, server: Server, tmp_path: Path, axe: Axe) -> int:
    code = re.search(r"setup code (\S+)", server.manage("setup_code"))
    assert code
    begin(hands, code[1])
    hands.follow("Name your shop")
    hands.fill("Your shop", "Room W2")
    hands.fill("Your first class", "9 Teak")
    hands.press("Keep it")
    hands.follow("Add machines")
    hands.follow("Pick.*small wood shop")
    hands.press("See their numbers")
    for choice in hands.page.get_by_role("radio", name="Once for the type").all():
        hands.choose(choice)
    hands.press("Add these machines")
    hands.follow("Bring in the list")
    hands.fill("Or paste it", LIST)
    hands.press("Look at the rows")
    hands.press("Add the 3 who are ready")
    hands.follow("Read and accept")
    axe(hands.page)
    marks = hands.page.get_by_role("checkbox")
    for place in range(marks.count()):
        hands.tick(place)
    hands.press("Accept the banks I marked")
    slips_and_card(hands, tmp_path)
    return hands.actions


def begin(hands: Hands, code: str) -> None:
    hands.go("/")
    hands.fill("Setup code", code)
    hands.fill("Name of the school", "Alderbeck School")
    hands.fill("Your name", "Odile Ferrant")
    hands.fill("Your password", "plumb line and level")
    hands.fill("Password of the office", "ledger on the top shelf")
    hands.press("Begin")


def slips_and_card(hands: Hands, tmp_path: Path) -> None:
    """Both leave the page where it is: a PDF is downloaded."""
    hands.follow("Sign-in slips")
    hands.print("Print these slips", tmp_path / "slips.pdf")
    assert "Inga Vale" in words_of(tmp_path / "slips.pdf")
    hands.go("/prints/")
    hands.print("Make the PDF", tmp_path / "card.pdf")
    assert "No one may use it yet" in " ".join(words_of(tmp_path / "card.pdf").split())
