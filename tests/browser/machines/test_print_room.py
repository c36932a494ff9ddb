"""The Print page in a browser: the picture follows what is chosen, and a set is made by a worker of its own."""

import re
import zipfile
from pathlib import Path

from playwright.sync_api import expect

from tests.browser.conftest import Watched
from tests.browser.server import Server
from tests.browser.walking import ODILE, go_to, sign_in

CLASS, STUDENTS = "7 Alder", 3


def test_the_picture_follows_the_choice(watched: Watched, demo_server: Server) -> None:
    page = watched.open(demo_server)
    sign_in(page, *ODILE)
    go_to(page, "Print")
    picture = page.get_by_role("img", name="Preview of the wall card, first sheet")
    expect(picture).not_to_have_js_property("naturalWidth", 0, timeout=30_000)
    page.get_by_label("Paper", exact=True).select_option(label="A4")
    expect(picture).to_have_attribute("src", re.compile("paper=a4"))


def test_a_set_is_made_while_the_page_tells_how_far_it_is(
    watched: Watched, demo_server: Server, tmp_path: Path
) -> None:
    leave(demo_server, students=STUDENTS)
    page = watched.open(demo_server)
    sign_in(page, *ODILE)
    page.goto("/prints/?what=evidence")
    page.get_by_label("Class").select_option(label=CLASS)
    page.get_by_role("button", name="Make the set").click()
    expect(page.get_by_role("heading", name="Ready")).to_be_visible(timeout=90_000)
    with page.expect_download() as coming:
        page.get_by_role("link", name="Fetch the file").click()
    coming.value.save_as(tmp_path / "set.zip")
    with zipfile.ZipFile(tmp_path / "set.zip") as whole:
        assert whole.testzip() is None
        assert all(name.endswith(".pdf") for name in whole.namelist())
        assert len(whole.namelist()) == STUDENTS


def leave(server: Server, *, students: int) -> None:
    """So many remain in the class: each file takes a second or two to draw."""
    server.write(
        "DELETE FROM school_enrolment WHERE section_id IN (SELECT id FROM school_section WHERE name = ?)"
        " AND id NOT IN (SELECT e.id FROM school_enrolment e JOIN school_section s ON s.id = e.section_id"
        " WHERE s.name = ? ORDER BY e.id LIMIT ?)",
        *(CLASS, CLASS, students),
    )
