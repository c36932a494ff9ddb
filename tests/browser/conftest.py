"""A browser and a server for the tests that click: the real program, the real pages, the demo school.

    demo_server      a server on the demo school, which every test finds as it was made; stop(), kill(), restart()
    page             a page with JavaScript on `demo_server`; the test fails if the page complains
    page_without_js  the same without JavaScript
    axe              axe(page) fails with what axe-core finds

Nothing here touches the database of the other tests: ask `demo_server.rows(sql)` or `demo_server.manage(...)`.
"""

import fcntl
import os
import shutil
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest
from _pytest.mark import ParameterSet
from playwright.sync_api import Browser, ConsoleMessage, Page, Request, sync_playwright
from xdist.remote import Producer
from xdist.scheduler import LoadScopeScheduling

from tests.browser.server import AXE, Server, on_a_copy, prepare

HERE = Path(__file__).parent
NAMES = ("chromium-headless-shell", "chromium", "chromium-browser", "google-chrome-stable", "google-chrome")
# As root there is no sandbox to be had; the rest keeps Chromium from calling home.
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update"]
# The outside is closed here and watched below. A route that refuses it would turn off the browser's cache: every page
# would fetch and read its styles, scripts and fonts again, which took most of a page's time.
FLAGS += ["--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1"]
ITS_OWN = ("data:", "blob:", "chrome:", "chrome-extension:")  # not the page's, such as the browser's PDF viewer
SIZES = {"laptop": (1366, 768), "tablet": (820, 1180), "phone": (360, 740)}


def every_run[Variant](variants: Sequence[Variant], *always: Variant) -> list[Variant | ParameterSet]:
    """`variants` for `parametrize`, of which only those in `always` run in `make test`."""
    assert set(always) <= set(variants), f"{always} are not all among {variants}"
    rest = (value for value in variants if value not in always)
    return [*always, *(pytest.param(*_each(value), marks=pytest.mark.nightly) for value in rest)]


def _each(value: object) -> tuple[object, ...]:
    return value if isinstance(value, tuple) else (value,)


class OneByOne(LoadScopeScheduling):
    """Hands out one test at a time, and at first the file whose tests share a school."""

    def _split_scope(self, nodeid: str) -> str:
        file = nodeid.split("::")[0]
        return file if file.endswith("test_accessible.py") else nodeid


def pytest_xdist_make_scheduler(config: pytest.Config, log: Producer) -> OneByOne:
    return OneByOne(config, log)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if HERE in item.path.parents:
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def prepared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder with the collected files and the demo database: made once for all workers, or by `make test`."""
    if prepared_folder := os.environ.get("SHOPSAFE_PREPARED"):
        return Path(prepared_folder)
    base = tmp_path_factory.getbasetemp()
    base = base.parent if base.name.startswith("popen-") else base
    place = base / "prepared"
    with (base / "prepared.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not place.exists():
            half = base / "half-prepared"
            shutil.rmtree(half, ignore_errors=True)
            prepare(half)
            half.rename(place)
    return place


@pytest.fixture(scope="session")
def house(prepared: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """One server for all tests of a worker, since starting one takes longer than most of them."""
    server = on_a_copy(prepared, tmp_path_factory.mktemp("house"))
    yield server
    server.stop()


@pytest.fixture
def demo_server(house: Server, prepared: Path) -> Server:
    house.renew(prepared)
    return house if house.process else house.start()


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    program = next((path for name in NAMES if (path := shutil.which(name))), None)
    if program is None:
        pytest.skip("no Chromium here")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=FLAGS)
        yield browser
        browser.close()


class Watched:
    """Opens pages and remembers what they complain of: script errors, blocked content, requests to the outside."""

    def __init__(self, browser: Browser) -> None:
        self.browser = browser
        self.complaints: list[str] = []
        self.forgives = ""

    def open(self, server: Server, *, size: str = "laptop", javascript: bool = True) -> Page:
        width, height = SIZES[size]
        context = self.browser.new_context(
            base_url=server.url,
            viewport={"width": width, "height": height},
            java_script_enabled=javascript,
            reduced_motion="reduce",
        )
        context.set_default_timeout(30_000)
        context.on("request", lambda request: self._see(server, request))
        page = context.new_page()
        page.on("pageerror", lambda error: self.complaints.append(f"script error: {error}"))
        page.on("console", self._hear)
        return page

    def _see(self, server: Server, request: Request) -> None:
        if not request.url.startswith((server.url, *ITS_OWN)):
            self.complaints.append(f"asked the outside: {request.url}")

    def _hear(self, message: ConsoleMessage) -> None:
        # A 404 or 422 that a test asks for is logged by the browser too, and is no fault of the page; nor is that the
        # browser leaves a page without asking that no one has touched since it was loaded.
        harmless = ("Failed to load resource", "Blocked attempt to show a 'beforeunload'", self.forgives)
        forgiven = [text for text in harmless if text and text in message.text]
        if message.type == "error" and not forgiven:
            self.complaints.append(f"console: {message.text}")

    def close(self) -> None:
        for context in self.browser.contexts:
            context.close()


@pytest.fixture
def watched(browser: Browser) -> Iterator[Watched]:
    watched = Watched(browser)
    yield watched
    watched.close()
    assert not watched.complaints, "\n".join(watched.complaints)


@pytest.fixture
def page(watched: Watched, demo_server: Server) -> Page:
    return watched.open(demo_server)


@pytest.fixture
def page_without_js(watched: Watched, demo_server: Server) -> Page:
    return watched.open(demo_server, javascript=False)


@pytest.fixture(params=list(SIZES))
def reading_page(request: pytest.FixtureRequest, watched: Watched, demo_server: Server) -> Page:
    """A page for looking only, at each of the three sizes in turn."""
    return watched.open(demo_server, size=request.param)


class Axe:
    """axe-core, run in the page."""

    def __init__(self, watched: Watched) -> None:
        # axe tries inline styles of its own, which our policy blocks and the browser reports, sometimes a little later.
        watched.forgives = "inline style"

    def find(self, page: Page, only: str = "") -> list[str]:
        """What is wrong with the page, a line each; with `only`, by that one rule."""
        page.wait_for_load_state("load")  # a page whose styles are still on their way has small targets
        if not page.evaluate("'axe' in window"):
            page.add_script_tag(url=f"/static/{AXE.name}")  # kept by the browser, so it is read once
        run = {"resultTypes": ["violations"]} | (
            {"runOnly": [only]} if only else {"rules": {"target-size": {"enabled": True}}}
        )
        violations = page.evaluate("async (run) => (await axe.run(run)).violations", run)
        return [
            f"{violation['id']}: {violation['help']}\n    " + "\n    ".join(node["html"] for node in violation["nodes"])
            for violation in violations
        ]

    def __call__(self, page: Page) -> None:
        problems = self.find(page)
        assert not problems, f"{page.url}\n" + "\n".join(problems)


@pytest.fixture
def axe(watched: Watched) -> Axe:
    if not AXE.exists():
        pytest.skip("no axe-core here: npm install --no-save --no-package-lock axe-core")
    return Axe(watched)
