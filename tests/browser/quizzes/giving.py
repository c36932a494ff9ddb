"""A question of each kind in the browser: gives answers that differ, reads what is shown and what is stored."""

import json
from dataclasses import dataclass
from typing import Any
from urllib.parse import parse_qs
from uuid import UUID

import pytest
from playwright.sync_api import Page, Route, expect

from quizzes.questions.answering import read_response
from tests.browser.conftest import every_run
from tests.browser.quizzes.quizzing import STUDENT, begin_with, expect_kept
from tests.browser.server import Server
from tests.browser.walking import form_of

KINDS = ("one", "several", "order", "pair", "spot", "measure")
SAVING = "**/save/"


def each_kind(*always: str) -> pytest.MarkDecorator:
    """A test for each kind of question: in `make test` for those in `always`, and for the others at night."""
    return pytest.mark.parametrize("kind", every_run(KINDS, *always))


# What the form holds now, as it would be sent.
FIELDS = """() => new URLSearchParams([...new FormData(document.querySelector("form[data-save]"))].filter(
    ([name, value]) => value && !["revision", "csrfmiddlewaretoken"].includes(name))).toString()"""


class Obstacle:
    """What saves of a page, or with `others` of the other tabs of its browser, meet in place of the server.

    `lift` ends the requests that wait, and lets later ones through.
    """

    def __init__(self, page: Page, *, others: bool = False, **fulfilled: Any) -> None:
        self.page, self.fulfilled = page, fulfilled
        self.hanging: list[Route] = []
        self.tries = 0
        self.lifted = False
        (page.context if others else page).route(SAVING, self._meet)

    def _meet(self, route: Route) -> None:
        self.tries += 1
        if self.lifted:
            route.continue_()
        elif self.fulfilled:
            route.fulfill(**self.fulfilled)
        else:
            self.hanging.append(route)

    def expect_tries(self, count: int) -> None:
        """At least so many requests came, at once or soon."""
        for _ in range(100):
            if self.tries >= count:
                return
            self.page.wait_for_timeout(50)
        raise AssertionError(f"{self.tries} tries, not {count}")

    def lift(self) -> None:
        self.lifted = True
        for route in self.hanging:
            route.abort()


@dataclass
class Asking:
    """A student at one question."""

    page: Page
    server: Server
    kind: str
    attempt: str  # the address of the attempt
    number: int

    @property
    def pk(self) -> UUID:
        return UUID(self.attempt.split("/")[2])

    @property
    def address(self) -> str:
        return f"{self.attempt}questions/{self.number}/"

    def give(self, turn: int, page: Page | None = None) -> None:
        """An answer unlike the one of the turn before."""
        page = page or self.page
        rows = page.locator(".press" if self.kind == "order" else ".answers input, .answers select")
        match self.kind:
            case "one" | "spot" | "several" | "order":
                rows.nth(turn % rows.count()).click()
            case "pair":
                rows.first.select_option(index=turn % 3 + 1)
            case "measure":
                rows.first.fill(f"{turn + 1} 1/2")

    def shown(self, page: Page | None = None) -> dict[str, object] | None:
        """The answer on the page, read as the server reads it."""
        line = form_of(self.server, self.pk)[self.number - 1]
        return read_response(line, parse_qs((page or self.page).evaluate(FIELDS)))

    def stored(self) -> dict[str, object] | None:
        line = form_of(self.server, self.pk)[self.number - 1]
        sql = "SELECT response FROM quizzes_answer WHERE attempt_id = ? AND question = ?"
        rows = self.server.rows(sql, self.pk.hex, line.code)
        return (json.loads(str(rows[0][0])) or None) if rows else None  # {} is an answer that was taken away

    def expect_saved(self) -> None:
        """The page says "Saved", keeps nothing back, and the database has what the page shows."""
        expect(self.page.locator("#said")).to_contain_text("Saved")
        expect_kept(self.page, 0)
        assert self.stored() == self.shown()


def at_question(page: Page, server: Server, kind: str) -> Asking:
    attempt, number = begin_with(page, server, kind)
    return Asking(page, server, kind, attempt, number)


__all__ = ["KINDS", "SAVING", "STUDENT", "Asking", "Obstacle", "at_question", "each_kind"]
