"""The pages of every day, measured with a class of 36 at 16 machines: words, heights, targets, text, and how many Tab
stops lead to the first act. Each page is loaded once a size, and everything about it is measured then."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Axe, Watched, every_run
from tests.browser.quizzes.quizzing import begin_with
from tests.browser.server import FULL, Server, on_a_copy
from tests.browser.test_first_view import MOST, fetching
from tests.browser.walking import DEMO_CODE, LOTTE, ODILE, SIGNE, sign_in

SIZES = {"laptop": (1366, 768), "tablet": (820, 1180), "phone": (360, 740)}
STUDENT = ("Inga Vale", DEMO_CODE)
# Words. Nine students with their check words and nine points to watch take 90; a chart of 36 students names each.
DAILY, WATCHED, LOOKED_UP, CHART = 150, 180, 350, 400
MOST_STOPS = 12

MEASURE = Path(__file__).with_name("measure.js").read_text()
FIRST = "SELECT min(student_id) FROM school_enrolment WHERE section_id = 1"
# A new student who passed the quiz on the band saw is ready to be watched there.
READY = """SELECT max(a.student_id) FROM quizzes_attempt a
    JOIN quizzes_bank b ON b.id = a.bank_id AND b.code = 'band-saw'
    JOIN school_person p ON p.id = a.student_id AND p.local_id >= '5001' WHERE a.perfect"""
BOTTOM = "(selector) => document.querySelector(selector).getBoundingClientRect().bottom + scrollY"


@dataclass(frozen=True)
class DailyPage:
    """`act` is what someone comes to the page for; `in_sight` must end within the first screen of these sizes."""

    address: str
    words: int
    act: str = ""
    in_sight: str = ""
    sizes: tuple[str, ...] = ()
    weight: int = MOST
    smallest: float = 16  # pixels of text; the heads of a chart of 16 machines are 14, so that it fits the laptop


EACH = ("laptop", "tablet", "phone")
TEACHER_PAGES = (
    DailyPage("/today/", DAILY, ".acts .button", "#watch", ("laptop", "tablet")),
    # Sixteen tiles: a teacher looks at one, and reads none of the others.
    DailyPage("/shops/1/floor/", LOOKED_UP, ".tile .button", ".tile:nth-child(4)", ("laptop", "tablet")),
    DailyPage("/classes/1/register/", CHART, ".narrowing a", "thead", ("laptop", "tablet"), smallest=14),
    DailyPage("/machines/3/?class=1", LOOKED_UP, ".who-list a.pick", ".who-list li:first-child a", EACH),
    DailyPage("/machines/3/sign-off/{ready}/?class=1", WATCHED, ".who-list a.pick", ".sign-now", EACH),
    DailyPage("/machines/3/sign-off/?class=1", LOOKED_UP, ".who-list input", ".sign-now", EACH),
    DailyPage("/prints/", LOOKED_UP, ".offers a", ".offers", ("laptop", "tablet"), weight=150_000),  # with the sheet
    DailyPage("/machines/", LOOKED_UP, ""),
    DailyPage("/banks/", LOOKED_UP, "tbody a"),
    DailyPage("/banks/4/", LOOKED_UP),
    DailyPage("/people/", LOOKED_UP, "tbody a", "tbody a", EACH),
    DailyPage("/people/1/", LOOKED_UP, "tbody input"),
    DailyPage("/people/1/{student}/", LOOKED_UP),
)
STUDENT_PAGES = (DailyPage("/bench/", DAILY, ".next .button", ".next", EACH),)
OFFICE_PAGES = (DailyPage("/office/", DAILY, "#missing ~ ul a", "#jobs", ("laptop", "tablet")),)
SUBSTITUTE_PAGES = (
    DailyPage("/today/", LOOKED_UP, "main .button", "h2", EACH),
    DailyPage("/shops/1/floor/", LOOKED_UP),
    DailyPage("/classes/1/register/", CHART, ".narrowing a", smallest=14),
)
ROLES: dict[str, tuple[tuple[str, str], tuple[DailyPage, ...]]] = {
    "teacher": (ODILE, TEACHER_PAGES),
    "student": (STUDENT, STUDENT_PAGES),
    "office": (LOTTE, OFFICE_PAGES),
    "substitute": (SIGNE, SUBSTITUTE_PAGES),
}
# At the size that the role works with; at night each role at each size.
MEASURED_EACH_RUN = (
    ("teacher", "laptop"), ("teacher", "tablet"), ("student", "laptop"), ("student", "phone"), ("office", "laptop"),
    ("substitute", "tablet"),
)  # fmt: skip


@pytest.fixture(scope="module")
def full_school(prepared: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    server = on_a_copy(prepared, tmp_path_factory.mktemp("full"), FULL)
    yield server.start()
    server.stop()


@pytest.mark.parametrize(("role", "size"), every_run(list(product(ROLES, SIZES)), *MEASURED_EACH_RUN))
def test_pages_of_every_day_are_short_and_easy_to_press(
    watched: Watched, full_school: Server, axe: Axe, role: str, size: str
) -> None:
    person, pages = ROLES[role]
    keys = {"student": one(full_school, FIRST), "ready": one(full_school, READY)}
    pages = [replace(entry, address=entry.address.format_map(keys)) for entry in pages]
    page = watched.open(full_school, size=size)
    sign_in(page, *person)
    page.wait_for_url(lambda address: "/sign-in/" not in address)
    if role == "teacher":  # the floor of an hour at work
        page.goto("/shops/1/floor/")
        page.get_by_role("button", name="I’m here").or_(page.get_by_role("button", name="I'm here")).first.click()
    faults = [f"{entry.address}: {fault}" for entry in pages for fault in faults_of(page, entry, size, axe)]
    assert not faults, f"{role}, {size}\n" + "\n".join(faults)


def one(server: Server, sql: str) -> object:
    [(key,)] = server.rows(sql)
    return key


def faults_of(page: Page, entry: DailyPage, size: str, axe: Axe) -> Iterator[str]:
    answer = page.goto(entry.address)
    if answer is None or not answer.ok:
        yield "the page is not there"
        return
    page.wait_for_load_state("networkidle")
    measured: dict[str, Any] = page.evaluate(MEASURE)
    if measured["words"] > entry.words:
        yield f"{measured['words']} words, {entry.words} at most"
    if measured["over"] > 0:
        yield f"{measured['over']} px wider than the screen"
    yield from (f"hard to press, {target}" for target in measured["small"])
    yield from (f"hard to read, {text}" for text in measured["fine"] if float(text.split()[0]) < entry.smallest)
    if size in entry.sizes and (bottom := page.evaluate(BOTTOM, entry.in_sight)) > SIZES[size][1]:
        yield f"{entry.in_sight} ends at {bottom:.0f} px, below the first screen"
    if size == "laptop":
        if entry.act and (stops := stops_to(page, entry.act)) > MOST_STOPS:
            yield f"{stops} Tab stops to {entry.act}"
        page.evaluate("scrollTo(0, document.body.scrollHeight)")  # a bar that sticks to the foot covers nothing there
        yield from axe.find(page)
        if (weight := sum(fetching(page, entry.address).values())) > entry.weight:
            yield f"{weight} bytes in its first view"


def stops_to(page: Page, act: str) -> int:
    """How many Tab stops lead to what someone comes to the page for. The first link of every page skips the menu."""
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    for stop in range(3, MOST_STOPS + 2):
        page.keyboard.press("Tab")
        if page.evaluate("(act) => document.activeElement.matches(act)", act):
            return stop
    return MOST_STOPS + 2


def test_student_is_signed_off_on_one_screen(watched: Watched, full_school: Server) -> None:
    page = watched.open(full_school)
    sign_in(page, *ODILE)
    page.wait_for_url("**/today/")
    page.goto("/machines/3/?class=1")
    page.locator(".who-list a.pick").first.click()
    for width, height in ((820, 1180), (1180, 820)):
        page.set_viewport_size({"width": width, "height": height})
        last_point = page.evaluate(BOTTOM, ".watched li:last-child")
        assert last_point <= height - 88, f"the last point ends at {last_point:.0f} px at {width}×{height}"
        button = page.locator(".sign-now").bounding_box()
        assert button, "no button to sign off"
        assert button["y"] + button["height"] <= height


# ---- the jobs of every day, from Today, tap by tap -------------------------------------------------------------------


@pytest.fixture(scope="module")
def busy_school(prepared: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """A school apart, since what happens in it would show on the pages that are measured."""
    server = on_a_copy(prepared, tmp_path_factory.mktemp("busy"), FULL)
    yield server.start()
    server.stop()


@pytest.fixture
def teacher(watched: Watched, busy_school: Server) -> Page:
    page = watched.open(busy_school, size="tablet")
    sign_in(page, *ODILE)
    page.wait_for_url("**/today/")
    return page


def tap(page: Page, *selectors: str) -> None:
    """One tap each. What a job takes is as long as the list."""
    for selector in selectors:
        page.locator(selector).first.click()
        page.wait_for_load_state("load")


def test_shop_opens_and_a_machine_is_assigned_in_three_taps(teacher: Page) -> None:
    tap(teacher, ".acts button")  # "I'm here" where the demo opened the shop already, "Open the shop" where not
    teacher.wait_for_url("**/floor/")
    tap(teacher, ".tile:has-text('Miter saw') .button", ".giving .pick")
    expect(teacher.locator(".tile:has-text('Miter saw')")).to_contain_text("Not running")


def test_student_is_signed_off_in_three_taps(teacher: Page) -> None:
    tap(teacher, ".watch-row:has-text('Band saw') .pick", ".all-points", ".sign-now")
    expect(teacher.get_by_role("status")).to_contain_text("Signed off")


def test_student_is_held_for_horseplay_in_three_taps(teacher: Page) -> None:
    tap(teacher, ".tally a:has-text('Clearances')", "tbody th a", "button:has-text('Horseplay')")
    expect(teacher.get_by_role("status")).to_contain_text("out of the shop until you have talked")


def test_machine_is_tagged_out_in_three_taps(teacher: Page) -> None:
    tap(
        teacher, ".watch-row h3 a:has-text('Belt and disc sander')", "a:has-text('Tag out')", "button.pick[name=reason]"
    )
    expect(teacher.get_by_role("status")).to_contain_text("is tagged out. No one may use it.")


# ---- the questions that are answered with more than one tap ----------------------------------------------------------


@pytest.mark.parametrize("kind", ["order", "pair"])
def test_question_of_several_taps_fits_each_screen_and_begins_at_its_answers(
    watched: Watched, demo_server: Server, axe: Axe, kind: str
) -> None:
    page = watched.open(demo_server)
    attempt, number = begin_with(page, demo_server, kind)
    address = f"{attempt}questions/{number}/"
    answer = {"order": "[data-order] button", "pair": "[data-pair] select"}[kind]
    faults = []
    for size, (width, height) in SIZES.items():
        page.set_viewport_size({"width": width, "height": height})
        faults += [f"{size}: {fault}" for fault in faults_of(page, DailyPage(address, DAILY, answer), size, axe)]
    assert not faults, "\n".join(faults)
