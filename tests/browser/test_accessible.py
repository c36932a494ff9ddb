"""Every page a person can meet, looked at by axe and by a few questions of our own: contrast in light and dark, one
heading, a title of its own, a name on every control, nothing wider than the narrowest phone.

The pages come from the matrix, which has a line for every route: a new page is looked at without being named here.
The server's school is the demo's, in which a student has begun one quiz and missed another, and a card is posted.
"""

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.conf import settings
from django.urls import get_resolver, reverse
from playwright.sync_api import Browser, Error, Page, Response, ViewportSize

from tests.browser.conftest import Axe, Watched, every_run
from tests.browser.server import Server, on_a_copy
from tests.browser.walking import (
    DEMO_CODE,
    LOTTE,
    ODILE,
    SIGNE,
    attempt_begun,
    fill_somehow,
    sign_in,
    words_to_recall,
)
from tests.matrix import ANONYMOUS, OFFICE, STUDENT, SUBSTITUTE, TEACHER
from tests.test_matrix import MATRIX, doors_of

HELD = "student on hold"  # meets what stands only on a page about a hold of one's own
ROLES = (ANONYMOUS, STUDENT, HELD, TEACHER, SUBSTITUTE, OFFICE)
STAFF = {TEACHER: ODILE, SUBSTITUTE: SIGNE, OFFICE: LOTTE}
# A bar that sticks to the foot covers something at every scroll position; focus is kept out from under it.
UNSTUCK = """() => { for (const bar of document.querySelectorAll('main *'))
    if (getComputedStyle(bar).position === 'sticky') bar.style.position = 'static'; }"""
NARROW: ViewportSize = {"width": 320, "height": 640}
LAPTOP: ViewportSize = {"width": 1366, "height": 768}
FORCED = ("sign-in", "bench", "attempt-question", "today", "register", "machine", "sign-off", "bank")
FILES = {"bank-file", "figures-file", "warm-up-sheet", "register-file", "evidence-checker"}  # saved, not looked at
FILES |= {"incident-photo", "report-photo", "calendar"}  # the demo has no photo; a calendar is no page
FILES |= {"bank-corrections", "bank-corrections-decline"}  # the demo offers no correction
FILES |= {"bank-review-withdraw"}  # and no one has reviewed one of its banks
RUN = {"run-check"}  # the page of the student who was given the machine: looked at as that student
CARDS_READ = {"relearn-recall", "relearn-check"}  # open once the card is read: looked at on the way through the cards
OFFERED = ("wall-chart", "rule-poster", "pocket-cards", "substitute-sheet", "safety-agreement", "monday", "evidence")
# Pages that look different with a query, or with another row than the first.
MORE = {
    STUDENT: ["/quizzes/{passed}/", "/attempts/{perfect}/result/", "/attempts/{begun}/questions/2/"],
    TEACHER: [
        "/classes/{section}/register/?show=ready",
        "/classes/{section}/register/?at=2020-01-01T10:00",
        "/people/{section}/?tick=all",
        "/machines/{out}/",
        "/logbook/?text=band+saw",
        *(f"/prints/?what={what}" for what in OFFERED),
        "/banks/{figured}/figures/",
        "/banks/{figured}/blueprint/",
        "/banks/{figured}/questions/guard-low-4/figures/",
        "/banks/{figured}/questions/guard-low-4/correct-key/?key=1",
        "/classes/{section}/reteach/?bank={figured}",
        "/classes/{section}/warm-up/?bank={figured}&rule=guard-low&rule=wheel-doors",
    ],
}

# A student of Odile's who has missed a quiz, and read no card of it yet.
MISSED = """
    SELECT a.id, p.id, p.sign_in_name, e.section_id FROM quizzes_attempt a
    JOIN school_person p ON p.id = a.student_id JOIN school_enrolment e ON e.student_id = p.id
    JOIN school_section_teachers t ON t.section_id = e.section_id JOIN school_person o ON o.id = t.person_id
    WHERE o.name = 'Odile Ferrant' AND NOT a.perfect AND p.locked_at IS NULL
    AND NOT EXISTS (SELECT 1 FROM quizzes_ruleread r WHERE r.attempt_id = a.id)
    AND NOT EXISTS (SELECT 1 FROM quizzes_attempt b WHERE b.student_id = p.id AND b.bank_id = a.bank_id
                    AND b.started_at > a.started_at)
    AND EXISTS (SELECT 1 FROM quizzes_attempt b WHERE b.student_id = p.id AND b.perfect) ORDER BY a.started_at LIMIT 1
"""
# Where an address names one thing and not any: the rest is the first row of the table that is called so.
PARTS = {
    "figured": "SELECT id FROM quizzes_bank WHERE code = 'band-saw'",
    "bank": "SELECT id FROM quizzes_bank WHERE code = 'table-saw'",
    "machine": "SELECT id FROM machines_machine WHERE number = 3",
    "hold": "SELECT id FROM machines_hold WHERE lifted_at IS NULL AND lifts = 'rules'",
    "held": "SELECT p.sign_in_name FROM school_person p JOIN machines_hold h ON h.student_id = p.id"
    " WHERE h.lifted_at IS NULL AND h.lifts = 'rules'",
    "tag_out": "SELECT id FROM machines_tagout WHERE returned_at IS NULL",
    "sign_off": "SELECT id FROM machines_signoff WHERE undone_at IS NULL AND withdrawn_at IS NULL ORDER BY at DESC",
    "person": "SELECT id FROM school_person WHERE name = 'Odile Ferrant'",
    "code": "SELECT code FROM machines_print",
    "digest": "SELECT digest FROM quizzes_picture WHERE kind = 'svg'",
    "seq": "SELECT entry_id FROM machines_signoff ORDER BY at DESC",
    "kind": "SELECT kind_id FROM machines_machine WHERE number = 3",
    "run": "SELECT id FROM machines_run WHERE started_at IS NULL AND ended_at IS NULL",
    "out": "SELECT machine_id FROM machines_tagout WHERE returned_at IS NULL",
}
SHELF = Path(settings.SHELF)
# Parts that are words. With a route's name, for that route alone.
IN_WORDS = {
    "what": "wall-card",
    "sheet": "agreement",
    "interval": "weekly",
    ("bank-picture", "kind"): "svg",
    ("question-add", "kind"): "one",
    ("document-withdraw", "kind"): "agreement",
}


@dataclass(frozen=True)
class School:
    """A running server, and what the addresses of its pages name."""

    server: Server
    student: str  # who is signed in as the student
    parts: dict[Any, Any]  # by the part's name, or for one route alone by the route's name and the part's

    def address(self, name: str) -> str:
        [(_, params)], *_ = get_resolver().reverse_dict.getlist(name)[0]
        return reverse(name, kwargs={part: self.part(name, part) for part in params})

    def filled(self, address: str) -> str:
        return re.sub(r"{(\w+)}", lambda placeholder: str(self.part("", placeholder[1])), address)

    def part(self, name: str, part: str) -> Any:
        if (name, part) in self.parts:
            return self.parts[name, part]
        if part not in self.parts:
            self.parts[part] = self.first(PARTS.get(part) or f"SELECT id FROM {self.table(part)}")  # noqa: S608
        return self.parts[part]

    def table(self, part: str) -> str:
        ending = f"%~_{part.replace('_', '')}"
        tables = "SELECT name FROM sqlite_master WHERE type = 'table' AND name LIKE ? ESCAPE '~'"
        names = self.server.rows(tables, ending)
        assert names, f"say in PARTS what {part!r} in an address is"
        return str(names[0][0])

    def first(self, sql: str) -> Any:
        rows = self.server.rows(sql)
        assert rows, f"the demo school has none: {sql}"
        return rows[0][0]


@pytest.fixture(scope="module")
def school(prepared: Path, tmp_path_factory: pytest.TempPathFactory, browser: Browser) -> Iterator[School]:
    place = tmp_path_factory.mktemp("accessible")
    server = on_a_copy(prepared, place).start()
    [(missed, student, name, section)] = server.rows(MISSED)
    server.manage("wall_card", "Drill press 1", "--out", str(place / "card.pdf"))
    known: dict[Any, Any] = {"attempt": UUID(str(missed)), "student": student, "section": section, "number": 1}
    school = School(server, str(name), known)
    passes = server.rows("SELECT bank_id, id FROM quizzes_attempt WHERE student_id = ? AND perfect", student)
    known |= {"passed": passes[0][0], "perfect": UUID(str(passes[0][1]))} | IN_WORDS
    [(draft,)] = server.rows("SELECT draft FROM quizzes_bank WHERE id = ?", school.part("", "bank"))
    known |= {part: json.loads(str(draft))[part][0]["code"] for part in ("rule", "question", "value")}
    of_one_answer = next(row["code"] for row in json.loads(str(draft))["question"] if row["kind"] == "one")
    known["key-correct", "question"] = of_one_answer  # a key can be corrected where options are
    page = browser.new_page(base_url=server.url)
    sign_in(page, school.student, DEMO_CODE)
    page.goto(f"/quizzes/{school.part('quiz', 'bank')}/")
    page.get_by_role("button", name="Start the quiz").click()
    begun = attempt_begun(page)
    known["report"] = reported(page)
    known |= {(name, "key"): a_set(server) for name in ("print-set", "print-set-file")}
    known |= {("attempt-check", "attempt"): begun, ("attempt-question", "attempt"): begun, "begun": begun}
    page.context.close()
    known["upload"] = file_sent(browser, server)
    on_paper = sheet_made(browser, school)
    known |= {(name, "attempt"): on_paper for name in MATRIX if name.startswith("paper-quiz-") or name == "paper-quiz"}
    yield school
    server.stop()


def reported(page: Page) -> int:
    """A hazard that the student reports, which keeps no machine off."""
    page.goto("/reports/place/")
    page.get_by_role("link", name="Drill press 1").click()
    page.get_by_role("link", name="A strange noise or shaking").click()
    page.get_by_role("button", name="Send it to your teacher").click()
    page.wait_for_url(re.compile(r"/reports/[0-9]+/$"))
    return int(page.url.rstrip("/").rpartition("/")[2])


def file_sent(browser: Browser, server: Server) -> UUID:
    """A bank file that Odile looks at, and has not taken over."""
    page = browser.new_page(base_url=server.url)
    sign_in(page, *ODILE)
    page.goto("/banks/import/")
    page.locator("[name=file]").set_input_files(SHELF / "band-saw.toml")
    page.get_by_role("button", name="Preview").click()
    page.get_by_role("heading", level=1, name="Band saw").wait_for()
    sent = UUID(page.url.rstrip("/").rpartition("/")[2])
    page.context.close()
    return sent


def sheet_made(browser: Browser, school: School) -> UUID:
    """A quiz on paper that Odile made for the student, and has not entered."""
    page = browser.new_page(base_url=school.server.url)
    sign_in(page, *ODILE)
    page.wait_for_url("**/today/")
    page.goto("/quizzes-on-paper/")
    page.get_by_label("Student").select_option(str(school.part("", "student")))
    page.get_by_label("Quiz").select_option(label="Finishing and glue")
    page.get_by_role("button", name="Make the sheet").click()
    page.wait_for_url("**/attempts/*/paper/")
    attempt = UUID(page.url.split("/")[-3])
    page.context.close()
    return attempt


def a_set(server: Server) -> UUID:
    """A set of prints that Odile may fetch, with a file of nothing in it."""
    key = uuid4()
    server.write(
        "INSERT INTO machines_printset"
        " (key, school_id, shop_id, what, wants, asked_at, asked_by_id, state, done, of, said)"
        " SELECT ?, s.school_id, s.id, 'monday', '{}', datetime('now'), p.id, 'ready', 1, 1, '' FROM school_shop s"
        " JOIN school_person p ON p.school_id = s.school_id WHERE p.name = 'Odile Ferrant' LIMIT 1",
        key.hex,
    )
    file = server.var / "prints" / f"{key}.zip"
    file.parent.mkdir(exist_ok=True)
    file.write_bytes(b"")
    return key


def pages_of(role: str) -> list[str]:
    """The names of the routes that open for this role as a page."""
    names = [
        name
        for name in sorted(MATRIX.keys() - FILES - CARDS_READ - (RUN if role == STUDENT else set()))
        for door in doors_of(name)
        if door.method == "get" and 200 in door.gets and {HELD: STUDENT}.get(role, role) in door.opens_for
    ]
    if role in (STUDENT, HELD):
        return [name for name in names if name.startswith("own-hold") == (role == HELD)]
    return names


def signed_in(watched: Watched, school: School, role: str) -> Page:
    page = watched.open(school.server)
    # Drawn for long, and nothing that axe reads. (A route would turn off the browser's cache.)
    wire = page.context.new_cdp_session(page)
    wire.send("Network.enable")
    wire.send("Network.setBlockedURLs", {"urls": ["*/picture.png*"]})
    if role != ANONYMOUS:
        student = school.part("", "held") if role == HELD else school.student
        sign_in(page, *STAFF.get(role, (student, DEMO_CODE)))
        page.wait_for_url(lambda url: not url.endswith("/sign-in/"))
    return page


def test_every_page_is_met_by_someone() -> None:
    opening = {name for name in MATRIX for door in doors_of(name) if door.method == "get" and 200 in door.gets}
    assert opening - FILES - CARDS_READ == {name for role in ROLES for name in pages_of(role)}


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize("in_the_dark", every_run(["some", "each"], "some"))
def test_pages_are_for_everyone(watched: Watched, school: School, axe: Axe, role: str, in_the_dark: str) -> None:
    page, titles, wrong = signed_in(watched, school, role), dict[str, str](), list[str]()
    more_addresses = {address: school.filled(address) for address in MORE.get(role, ())}
    for name, address in ({name: school.address(name) for name in pages_of(role)} | more_addresses).items():
        if "." in address.rsplit("/")[-1]:  # a picture, no page
            assert page.request.get(address).ok, address
            continue
        if seen_by_teacher(name, role):
            title, problems = read(page, address)
        else:
            forced = name in FORCED
            title, problems = looked_at(page, axe, address, dark=forced or in_the_dark == "each", forced=forced)
        wrong += [f"{address}: {problem}" for problem in problems]
        if title and name not in more_addresses:
            twin = titles.setdefault(title, address)
            wrong += [f"{address}: has the title of {twin}"] if twin != address and not is_led_on(page, address) else []
    assert not wrong, "\n".join(wrong)


def test_check_before_a_run_is_for_everyone(watched: Watched, school: School, axe: Axe) -> None:
    """It opens for the student whose machine it is, so it is looked at as that student."""
    run = school.part("", "run")
    [(name,)] = school.server.rows(
        "SELECT p.sign_in_name FROM school_person p JOIN machines_run r ON r.student_id = p.id WHERE r.id = ?", run
    )
    page = watched.open(school.server)
    sign_in(page, str(name), DEMO_CODE)
    page.wait_for_url(lambda url: not url.endswith("/sign-in/"))
    title, problems = looked_at(page, axe, f"/runs/{run}/check/", forced=True)
    assert title
    assert problems == []


def test_study_cards_and_check_questions_are_for_everyone(watched: Watched, school: School, axe: Axe) -> None:
    """Each card is read before it is covered, and the check questions follow the cards: an address alone leads back."""
    page, attempt = signed_in(watched, school, STUDENT), school.part("", "attempt")
    words = words_to_recall(school.server, attempt)
    wrong: list[str] = []
    for number, word in enumerate(words, 1):
        page.goto(f"/attempts/{attempt}/cards/{number}/")
        page.get_by_role("button", name="I have read it. Cover it").click()
        page.get_by_role("heading", name="What is the missing word?").wait_for()
        wrong += coloured(page, axe, forced=number == 1) + outlined(page)
        page.get_by_label("blank").fill(word)
        page.get_by_role("button", name="Check it").click()
        page.wait_for_url(f"**/attempts/{attempt}/result/")
    title, problems = looked_at(page, axe, f"/attempts/{attempt}/cards/1/question/", forced=True)
    wrong += problems if title.startswith("Check question 1 of") else [f"the check question shows {title}"]
    fill_somehow(page)
    page.get_by_role("button", name="Check my answer").click()
    page.get_by_role("heading", level=1, name=re.compile("[Rr]ight")).wait_for()
    assert not wrong + coloured(page, axe, forced=True) + outlined(page), "\n".join(wrong)


def seen_by_teacher(name: str, role: str) -> bool:
    """Substitute and office see the teacher's page with less on it: it has been looked at."""
    return role in (SUBSTITUTE, OFFICE) and name in pages_of(TEACHER)


def is_led_on(page: Page, address: str) -> bool:
    """Whether the address leads to another page, which has a title of its own."""
    return not page.request.get(address).url.endswith(address)


def read(page: Page, address: str) -> tuple[str, list[str]]:
    """A page's title, and what is wrong with it, as far as its source tells; no title of a print."""
    answer = page.request.get(address)
    source = answer.text() if answer.headers["content-type"].startswith("text/html") else ""
    problems = [f"answers {answer.status}"] if answer.status != 200 else []
    headings = len(re.findall("<h1[ >]", source))
    problems += [f"{headings} headings of the first rank"] if source and headings != 1 else []
    titles = re.findall("<title>(.*?)</title>", source, re.DOTALL)
    return titles[0] if titles else "", problems


def looked_at(page: Page, axe: Axe, address: str, *, dark: bool = True, forced: bool) -> tuple[str, list[str]]:
    """The same of a page that is shown: by axe in every scheme of colors, and by us."""
    answer = opened(page, address)
    if answer is None:
        return "", []
    problems = [f"answers {answer.status}"] if answer.status != 200 else []
    return page.title(), problems + coloured(page, axe, dark=dark, forced=forced) + outlined(page)


def opened(page: Page, address: str) -> Response | None:
    """The page's answer; None for a print, which one browser shows and another saves."""
    try:
        answer = page.goto(address)
    except Error as error:
        if "Download is starting" not in error.message:
            raise
        return None
    assert answer
    return answer if answer.headers["content-type"].startswith("text/html") else None


def coloured(page: Page, axe: Axe, *, dark: bool = True, forced: bool) -> list[str]:
    page.evaluate(UNSTUCK)
    problems = axe.find(page)
    if dark:
        page.emulate_media(color_scheme="dark")
        problems += [f"in the dark: {problem}" for problem in axe.find(page, only="color-contrast")]
    page.emulate_media(color_scheme="light", forced_colors="active" if forced else "none")
    problems += [f"in forced colours: {problem}" for problem in axe.find(page)] if forced else []
    page.emulate_media(forced_colors="none")
    return problems


def outlined(page: Page) -> list[str]:
    """One heading of the first rank, and nothing wider than the narrowest phone."""
    headings = page.locator("h1").count()
    problems = [f"{headings} headings of the first rank"] if headings != 1 else []
    return problems + at_320_px(page)


def at_320_px(page: Page) -> list[str]:
    """As on the narrowest phone, or at 400 % on a laptop: WCAG 2.2, 1.4.10."""
    page.set_viewport_size(NARROW)
    wider = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    page.set_viewport_size(LAPTOP)
    return [f"{wider} px wider than 320 px"] if wider else []
