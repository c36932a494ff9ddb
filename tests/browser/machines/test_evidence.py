"""A parent asks why: from the register to the file to hand over in three clicks, and the file is checked without us."""

import json
import subprocess
import sys
import time
from io import BytesIO
from pathlib import Path

import pikepdf
import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Axe, Watched, every_run
from tests.browser.server import ROOT, Server
from tests.browser.walking import ODILE, go_to, sign_in

STUDENT = "Inga Vale"


def at_the_register(page: Page) -> None:
    sign_in(page, *ODILE)
    page.wait_for_url(lambda url: not url.endswith("/sign-in/"))
    go_to(page, "Clearances")
    page.get_by_role("link", name="9 Teak").first.click()
    expect(page.locator("h1")).to_contain_text("9 Teak")


@pytest.mark.parametrize("javascript", every_run([True, False], True), ids=["with scripts", "without scripts"])
def test_from_the_register_in_three_clicks(
    watched: Watched, demo_server: Server, tmp_path: Path, javascript: bool
) -> None:
    page = watched.open(demo_server, javascript=javascript)
    at_the_register(page)
    page.get_by_role("link", name=STUDENT, exact=True).click()
    page.get_by_role("link", name="Evidence file").click()
    began = time.monotonic()
    with page.expect_download() as coming:
        page.get_by_role("button", name="PDF, to read and hand over").click()
    coming.value.save_as(tmp_path / "evidence.pdf")
    assert time.monotonic() - began < 5 * SLOW
    assert coming.value.suggested_filename == f"Evidence file {STUDENT}.pdf"
    carried = json_inside((tmp_path / "evidence.pdf").read_bytes())
    (tmp_path / "evidence.json").write_bytes(carried)
    whole, mark = json.loads(carried), json.loads(demo_server.manage("logbook", "checkpoint"))["print"]
    assert {"agreement.recorded", "attempt.passed", "signoff.made"} <= {entry["kind"] for entry in whole["entries"]}
    assert checked(tmp_path / "evidence.json", mark) == 0
    whole["entries"][0]["payload"] = whole["entries"][0]["payload"].replace(STUDENT, "Inga Vole")
    (tmp_path / "changed.json").write_text(json.dumps(whole))
    assert checked(tmp_path / "changed.json", mark) == 1


SLOW = 4  # a machine that runs other tests beside this one


def json_inside(pdf: bytes) -> bytes:
    with pikepdf.open(BytesIO(pdf)) as opened:
        return opened.attachments["evidence.json"].get_file().read_bytes()


def checked(file: Path, mark: str) -> int:
    """The exit code of the script that knows nothing of the program: no site packages, no settings."""
    script = [sys.executable, "-I", "-S", str(ROOT / "shopsafe" / "logbook" / "verify_evidence.py"), str(file), mark]
    return subprocess.run(script, capture_output=True, check=False, cwd=file.parent).returncode


def test_from_a_cell_too_and_the_page_is_sound(watched: Watched, demo_server: Server, axe: Axe) -> None:
    page = watched.open(demo_server, size="phone")
    at_the_register(page)
    page.locator("td a[id^=c]").first.click()
    page.get_by_role("link", name="Evidence file").click()
    expect(page.get_by_role("button", name="PDF, to read and hand over")).to_be_visible()
    axe(page)
