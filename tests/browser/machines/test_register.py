"""The register in a browser: it follows what a colleague does, is walked by keyboard, fits a screen, and is a file."""

import csv
import io
import re
from pathlib import Path

import pytest
from openpyxl import load_workbook
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import Axe, Watched
from tests.browser.server import Server
from tests.browser.walking import ODILE, go_to, sign_in

ASKS_AGAIN = 20_000  # milliseconds
STUDENTS, MACHINES = 36, 16


def register_of(page: Page, server: Server, who: tuple[str, str] = ODILE) -> str:
    """The register of the teacher's first class, open on the page: its address."""
    [(section,)] = server.rows(
        "SELECT min(t.section_id) FROM school_section_teachers t JOIN school_person p ON p.id = t.person_id"
        " WHERE p.name = 'Odile Ferrant'"
    )
    sign_in(page, *who)
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    page.goto(f"/classes/{section}/register/")
    expect(page.get_by_role("heading", name="Clearances, ")).to_be_visible()
    return page.url


def polled(page: Page) -> int:
    """The page's clock goes on until the register asks again: what it is answered."""
    with page.expect_response(lambda answer: "part=matrix" in answer.url) as answer:
        page.clock.fast_forward(ASKS_AGAIN)
    return answer.value.status


def test_a_colleagues_hold_shows_without_a_reload(watched: Watched, demo_server: Server) -> None:
    page, colleague = watched.open(demo_server), watched.open(demo_server)
    page.clock.install()
    address = register_of(page, demo_server)
    row = page.locator(".register tbody tr").first
    expect(row.locator("td", has_text="On hold")).to_have_count(0)
    row.locator("td a").nth(1).focus()
    page.evaluate("window.stayed = true")
    before = page.locator("#matrix").inner_html()
    assert polled(page) == 204
    assert page.locator("#matrix").inner_html() == before

    register_of(colleague, demo_server)
    colleague.goto(address + str(row.locator("th a").get_attribute("href")))
    colleague.get_by_role("button", name="Horseplay: out of the shop").click()
    expect(colleague.get_by_text("On hold since")).to_be_visible()
    expect(colleague.get_by_role("button", name="Horseplay: out of the shop")).to_have_count(0)

    assert polled(page) == 200
    # The column of a machine that is out of use is barred, whatever the status.
    expect(row.locator("td", has_text="On hold")).to_have_count(row.locator("td:not(:has(a.idle))").count())
    assert row.locator("td a.idle").count() == 1
    expect(row.locator("td a").nth(1)).to_be_focused()
    assert page.evaluate("window.stayed")
    assert polled(page) == 204


def test_walked_by_keyboard_into_the_reasons_and_back(watched: Watched, demo_server: Server) -> None:
    page = watched.open(demo_server)
    address = register_of(page, demo_server)
    cells = page.locator(".register tbody tr").nth(1).locator("td a")
    page.locator(".register thead a").first.focus()
    for key in ("ArrowDown", "ArrowDown", "ArrowRight"):
        page.keyboard.press(key)
    expect(cells.nth(1)).to_be_focused()
    for key, place in (("End", -1), ("Home", None), ("ArrowRight", 0), ("ArrowUp", None), ("ArrowDown", 0)):
        page.keyboard.press(key)
        if place is not None:
            expect(cells.nth(place)).to_be_focused()
    assert page.locator(".register a[tabindex='0']").count() == 1  # Tab comes to one cell
    name = page.locator(".register tbody tr").nth(1).locator("th").inner_text()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_contain_text(f"{name} on ")
    page.wait_for_load_state()  # the key is heard once the scripts have come
    page.keyboard.press("Escape")
    expect(cells.first).to_be_focused()
    assert page.url.partition("#")[0] == address


def test_narrowed_it_stays_so_on_the_way_back(watched: Watched, demo_server: Server) -> None:
    page = watched.open(demo_server)
    register_of(page, demo_server)
    everybody = page.locator(".register tbody tr").count()
    narrowed = page.get_by_role("navigation", name="Which students").get_by_role("link", name="Ready for sign-off")
    narrowed.click()
    expect(narrowed).to_have_attribute("aria-current", "true")
    rows = page.locator(".register tbody tr")
    ready = rows.filter(has=page.locator("td a.ready-for-sign-off:not(.faint)"))
    assert 0 < rows.count() == ready.count() < everybody
    cell = ready.first.locator("td a.ready-for-sign-off:not(.faint)").first
    cell.click()
    page.wait_for_url("**/register/*/*/?show=ready")
    page.wait_for_load_state()
    page.keyboard.press("Escape")
    expect(narrowed).to_have_attribute("aria-current", "true")
    expect(page.locator(".register a:focus")).to_have_class(re.compile("ready-for-sign-off"))


@pytest.mark.parametrize("form", ["CSV", "XLSX"])
def test_as_it_was_and_as_a_file_without_scripts(
    watched: Watched, demo_server: Server, tmp_path: Path, form: str
) -> None:
    page = watched.open(demo_server, javascript=False)
    address = register_of(page, demo_server)
    assert page.locator("td a.cleared").count() > 0
    [(first,)] = demo_server.rows("SELECT min(from_day) FROM school_enrolment")
    page.get_by_label("As it was on").fill(f"{first}T12:00")
    page.get_by_role("button", name="Show").click()
    expect(page.locator(".as-was")).to_contain_text("As it was on")
    assert page.locator("td a.cleared").count() == 0
    names = page.locator(".register tbody th").all_inner_texts()
    with page.expect_download() as got:
        page.get_by_role("link", name=form, exact=True).click()
    file = tmp_path / got.value.suggested_filename
    got.value.save_as(file)
    rows = read(file)
    assert [row[0] for row in rows[1:]] == names
    assert "cleared" not in {cell for row in rows for cell in row}
    page.locator("td a").first.click()
    expect(page.locator(".as-was")).to_be_visible()
    page.get_by_role("link", name="Clearances, ").click()
    assert page.url.startswith(address + "?at=")


def read(file: Path) -> list[list[object]]:
    if file.suffix == ".xlsx":
        return [list(row) for row in load_workbook(file).worksheets[0].iter_rows(values_only=True)]
    return [list(row) for row in csv.reader(io.StringIO(file.read_text("utf-8-sig")))]


def fill(server: Server) -> None:
    """Odile's first class comes to 36, and its shop to 16 machines of every kind."""
    [(section, shop)] = server.rows(
        "SELECT s.id, s.shop_id FROM school_section s JOIN school_section_teachers t ON t.section_id = s.id"
        " JOIN school_person p ON p.id = t.person_id WHERE p.name = 'Odile Ferrant' ORDER BY s.id LIMIT 1"
    )
    [(students, machines)] = server.rows(
        "SELECT (SELECT count(*) FROM school_enrolment WHERE section_id = ? AND until_day IS NULL),"
        " (SELECT count(*) FROM machines_machine WHERE shop_id = ? AND retired_at IS NULL)",
        section,
        shop,
    )
    server.write(
        "INSERT INTO school_enrolment (school_id, section_id, student_id, from_day)"
        " SELECT p.school_id, s.id, p.id, t.first_day FROM school_person p JOIN school_section s ON s.id = ?"
        " JOIN school_term t ON t.id = s.term_id WHERE p.role = 'student' AND p.id NOT IN"
        " (SELECT student_id FROM school_enrolment WHERE section_id = s.id) LIMIT ?",
        section,
        STUDENTS - int(str(students)),
    )
    server.write(
        "INSERT INTO machines_machine (school_id, shop_id, kind_id, number, name, added_at)"
        " SELECT k.school_id, s.id, k.id, 20 + k.id, '', '2020-01-01 00:00:00' FROM machines_machinekind k"
        " JOIN school_shop s ON s.id = ? AND s.school_id = k.school_id ORDER BY k.id LIMIT ?",
        shop,
        MACHINES - int(str(machines)),
    )


def test_chart_of_36_students_and_16_machines_fits_one_screen(watched: Watched, demo_server: Server, axe: Axe) -> None:
    fill(demo_server)
    page = watched.open(demo_server)
    register_of(page, demo_server)
    rows = page.locator(".register tbody tr")
    assert (rows.count(), rows.first.locator("td").count()) == (STUDENTS, MACHINES)
    frame = page.locator("#matrix .wide")
    assert frame.evaluate("e => e.scrollHeight <= e.clientHeight && e.scrollWidth <= e.clientWidth")
    assert bottom(frame) <= 768
    smallest = page.locator(".register a").evaluate_all(
        "all => all.map(one => one.getBoundingClientRect()).map(box => Math.min(box.width, box.height))"
    )
    assert min(smallest) >= 24  # WCAG 2.2, 2.5.8 Target Size (Minimum)
    letters = page.locator(".register :is(th, td) a").evaluate_all(
        "all => all.map(e => parseFloat(getComputedStyle(e).fontSize))"
    )
    assert min(letters) >= 14
    axe(page)
    foot, head = rows.nth(STUDENTS // 2 - 1), rows.nth(STUDENTS // 2)
    assert bottom(head) < bottom(foot)  # the second half is beside the first
    foot.locator("td a").nth(3).focus()
    page.keyboard.press("ArrowDown")
    expect(head.locator("td a").nth(3)).to_be_focused()
    page.keyboard.press("ArrowUp")
    expect(foot.locator("td a").nth(3)).to_be_focused()


def bottom(place: Locator) -> float:
    return float(place.evaluate("e => e.getBoundingClientRect().bottom"))


def test_on_a_phone_four_machines_stand_beside_the_names(watched: Watched, demo_server: Server) -> None:
    page = watched.open(demo_server, size="phone")
    sign_in(page, *ODILE)
    page.wait_for_url(lambda url: not url.endswith("/sign-in/"))
    go_to(page, "Clearances")
    page.get_by_role("link", name="9 Teak").first.click()
    page.locator("#matrix").wait_for()
    seen = (
        page.locator("#matrix tbody tr")
        .first.locator("td")
        .evaluate_all("cells => cells.filter(cell => cell.getBoundingClientRect().right <= innerWidth).length")
    )
    assert seen >= 4
