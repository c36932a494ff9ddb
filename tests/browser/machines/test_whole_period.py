"""A class period acted through on two browsers at once, and what it costs in taps, sizes and time on a slow network.

The teacher's tablet is beside the machines; on a phone, students check their machines and report a hazard.
"""

import itertools
import json
import re
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from playwright.sync_api import Locator, Page, Request, expect

from tests.browser.conftest import Watched
from tests.browser.server import Server
from tests.browser.walking import DEMO_CODE, ODILE, sign_in

FLOOR, CLASS = "/shops/1/floor/", 1
SLOW = {"offline": False, "latency": 500, "downloadThroughput": -1, "uploadThroughput": -1}
FAST = SLOW | {"latency": 0}
ANSWERS = 2  # a tap waits for so many answers in a row at most: what it sends, and the page that follows
TAP, TILE, BAR, GAP, TEXT, CONTRAST = 44, 72, 88, 12, 20, 7.0  # pixels; the last is a ratio
TO_READ = ".who-list .pick, .who-list small, .watched label > span, .sign-now"

# What stands to be read or tapped while a teacher watches: its size of type, and how it stands off from its ground.
READING = """(nodes) => nodes.filter((node) => node.textContent.trim()).map((node) => {
  const rgba = (color) => {
    const [red, green, blue, alpha = 1] = color.match(/[0-9.]+/g).map(Number);
    return { red, green, blue, alpha };
  };
  const part = (value) => (value / 255 <= 0.04045 ? value / 255 / 12.92 : ((value / 255 + 0.055) / 1.055) ** 2.4);
  const light = ({ red, green, blue }) => 0.2126 * part(red) + 0.7152 * part(green) + 0.0722 * part(blue);
  const style = (of) => getComputedStyle(of);
  let ground = node;
  while (rgba(style(ground).backgroundColor).alpha === 0) ground = ground.parentElement;
  const pair = [light(rgba(style(node).color)), light(rgba(style(ground).backgroundColor))];
  const contrast = (Math.max(...pair) + 0.05) / (Math.min(...pair) + 0.05);
  return { text: node.textContent.trim(), size: parseFloat(style(node).fontSize), contrast };
})"""
TAPS = {
    "open": 1,
    "here today": 3,
    "plan": 1,
    "assign 1": 2,
    "assign 2": 2,
    "check 2": 4,
    "assign 4": 2,
    "check 4": 4,
    "stop the run": 1,
    "tag out": 3,
    "sign off": 3,
    "group": 5,
    "hold": 1,
    "stop the held run": 1,
    "incident": 5,
    "end all": 1,
    "stop the last run": 1,
    "close": 9,
}


@dataclass
class Tablet:
    """Taps, counted for each act; with the size of what was tapped, and how long the answer took."""

    page: Page
    bare: float = 0  # seconds that a bare page takes under the same network
    taps: dict[str, int] = field(default_factory=dict)
    seconds: dict[str, float] = field(default_factory=dict)
    answers: dict[str, int] = field(default_factory=dict)  # that the screen waited for, one after another
    requests: list[str] = field(default_factory=list)
    sizes: dict[str, float] = field(default_factory=dict)
    name: str = ""

    @contextmanager
    def act(self, name: str, *, slow: bool = False) -> Iterator[None]:
        """`slow`: each request takes half a second longer, and what the screen waits for is counted."""
        self.name, self.taps[name] = name, 0
        if slow:
            self.network(SLOW)
        began, before = time.monotonic(), len(self.requests)
        yield
        if slow:
            self.answers[name] = len(self.requests) - before
            self.seconds[name] = round(time.monotonic() - began, 1)
            self.network(FAST)

    def count(self, request: Request) -> None:
        """A page that opens, or something that is sent. What a screen asks by itself holds up no tap."""
        if request.resource_type == "document" or request.method == "POST":
            self.requests.append(request.url)

    def measure_bare(self) -> None:
        self.network(SLOW)
        for _ in range(2):  # the first brings styles and fonts into the cache
            began = time.monotonic()
            self.page.goto("/look/")
            self.bare = time.monotonic() - began
        self.network(FAST)

    def tap(self, target: Locator) -> None:
        target.scroll_into_view_if_needed()
        box = target.bounding_box()
        assert box
        self.taps[self.name] += 1
        self.sizes[f"{self.name}, tap {self.taps[self.name]}"] = round(min(box["width"], box["height"]))
        target.click()

    def network(self, conditions: dict[str, object]) -> None:
        session = self.page.context.new_cdp_session(self.page)
        session.send("Network.enable")
        session.send("Network.emulateNetworkConditions", conditions)


def test_period_on_two_browsers(watched: Watched, demo_server: Server, record_property: Callable[..., None]) -> None:
    tablet = Tablet(watched.open(demo_server, size="tablet"))
    phone = watched.open(demo_server, size="phone")
    sign_in(tablet.page, *ODILE)
    tablet.page.wait_for_url("**/today/")
    close_the_earlier_period(tablet.page)
    tablet.measure_bare()
    tablet.page.on("request", tablet.count)
    opens(tablet)
    says_who_is_here(tablet)
    plans(tablet)
    runs(tablet, phone, demo_server)
    reports_and_tags_out(tablet, phone)
    signs_off(tablet)
    signs_off_a_group(tablet)
    holds(tablet, demo_server)
    writes_up_an_incident(tablet)
    ends_and_closes(tablet, phone)
    for name in ("taps", "seconds", "answers", "sizes", "bare"):
        record_property(name, getattr(tablet, name))
    assert tablet.taps == TAPS
    assert {name: size for name, size in tablet.sizes.items() if size < TAP} == {}
    assert {name: number for name, number in tablet.answers.items() if number > TAPS[name] * ANSWERS} == {}
    assert json.loads(demo_server.manage("logbook", "verify"))["holds"]


def expect_signing_sizes(tablet: Tablet) -> None:
    """What a teacher needs at the machine: tiles, the bar, the gaps between tiles, and text that reads in bad light."""
    page = tablet.page
    boxes = [box for row in page.locator(".who-list > li > *").all() if (box := row.bounding_box())]
    assert min(box["height"] for box in boxes) >= TILE
    gaps = [after["y"] - before["y"] - before["height"] for before, after in itertools.pairwise(boxes)]
    assert min(gaps) >= GAP
    bar = page.locator(".sign-now").bounding_box()
    assert bar
    assert bar["height"] >= BAR
    read = page.locator(TO_READ).evaluate_all(READING)
    assert len(read) > 10
    assert [each for each in read if each["size"] < TEXT or each["contrast"] < CONTRAST] == []


def close_the_earlier_period(page: Page) -> None:
    """The demo opens in the middle of a period. It ends by the same acts, without looking at their pages."""
    for run in re.findall(r"/runs/(\d+)/end/", page.request.get("/shops/1/closing/").text()):
        send(page, "/shops/1/closing/", f"/runs/{run}/end/")
    form = page.request.get("/shops/1/closing/").text()
    by = re.search(r'<option value="(\d+)">', form)
    assert by
    lines = re.findall(r'name="done-(\d+)"', form)
    answers = {f"done-{line}": "yes" for line in lines} | {f"by-{line}": by[1] for line in lines}
    send(page, "/shops/1/closing/", "/shops/1/closing/", answers)


def send(page: Page, form: str, address: str, fields: dict[str, str] | None = None) -> None:
    """Sends what the form of a page carries, by the page's session."""
    text = page.request.get(form).text()
    hidden = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', text))
    answer = page.request.post(address, form=hidden | (fields or {}), max_redirects=0)
    assert answer.status == 302, answer.text()


def opens(tablet: Tablet) -> None:
    page = tablet.page
    page.goto(f"/today/?class={CLASS}")
    with tablet.act("open", slow=True):
        tablet.tap(page.get_by_role("button", name="Open the shop"))
        expect(page.get_by_role("button", name="I’m here").first).to_be_visible()


def says_who_is_here(tablet: Tablet) -> None:
    page = tablet.page
    with tablet.act("here today"):
        tablet.tap(page.get_by_role("link", name="Here today"))
        tablet.tap(page.locator(".here-today .choice").last)
        tablet.tap(page.get_by_role("button", name="Save who is here"))
        page.wait_for_url(f"**{FLOOR}")


def plans(tablet: Tablet) -> None:
    page = tablet.page
    with tablet.act("plan"):
        tablet.tap(page.get_by_role("link", name="Plan today"))
        expect(page.locator(".plan-line").first).to_be_visible()


def tile_of(page: Page, number: int, state: str = "") -> Locator:
    return page.locator(f".tile{state}").filter(has=page.locator(f".tile-head b:text-is('{number}')"))


def gives(tablet: Tablet, number: int) -> None:
    """The machine of that number is given to the first student who may have it: two taps."""
    page = tablet.page
    row = tile_of(page, number)
    with tablet.act(f"assign {number}", slow=number == 1):
        tablet.tap(row.get_by_role("link", name="Assign to a student"))
        tablet.tap(page.locator("#give .pick").first)
        expect(row.get_by_role("link", name="Open the check")).to_be_visible()


def starts(tablet: Tablet, number: int) -> None:
    """The teacher confirms the check with the student."""
    page = tablet.page
    row = tile_of(page, number)
    with tablet.act(f"check {number}"):
        tablet.tap(row.get_by_role("link", name="Open the check"))
        for box in page.locator(".tick-all").all():
            tablet.tap(box)
        tablet.tap(page.get_by_role("button", name="Ready: start"))
        expect(tile_of(page, number, ".in-use")).to_be_visible()


def runs(tablet: Tablet, phone: Page, server: Server) -> None:
    """Three runs: one that the student checks on the phone, two that the teacher does."""
    tablet.page.goto(FLOOR)
    gives(tablet, 1)
    [(name,)] = server.rows(
        "SELECT p.name FROM machines_run r JOIN school_person p ON p.id = r.student_id ORDER BY r.id DESC LIMIT 1"
    )
    sign_in(phone, str(name), DEMO_CODE)
    phone.goto("/machines/1/")
    phone.get_by_role("link", name="Check it, then start").click()
    for box in phone.locator(".tick-all").all():
        box.click()
    phone.get_by_role("button", name="Ready: start").click()
    expect(tablet.page.locator(".tile.in-use")).to_have_count(1, timeout=10_000)
    for number in (2, 4):
        gives(tablet, number)
        starts(tablet, number)


def reports_and_tags_out(tablet: Tablet, phone: Page) -> None:
    page = tablet.page
    phone.goto("/machines/1/report/")
    phone.get_by_role("link", name=re.compile("guard", re.IGNORECASE)).first.click()
    phone.get_by_role("button", name="Send it").click()
    expect(page.locator(".still")).to_contain_text("Drill press 1", timeout=10_000)
    with tablet.act("stop the run"):
        tablet.tap(page.locator(".still").get_by_role("button", name="Mark as stopped"))
        expect(page.get_by_role("status")).to_contain_text("is marked as stopped")
    with tablet.act("tag out"):
        tablet.tap(page.locator(".tile.keep-off").get_by_role("link", name="Machine page"))
        tablet.tap(page.get_by_role("link", name="Tag out"))
        page.get_by_label("What is wrong?").fill("Guard off its hinge.")
        tablet.tap(page.get_by_role("button", name="Tag it out"))
        expect(page.locator(".barred")).to_contain_text("Guard off its hinge.")


def signs_off(tablet: Tablet) -> None:
    """One student in three taps."""
    page = tablet.page
    page.goto("/machines/3/")
    with tablet.act("sign off", slow=True):
        tablet.tap(page.locator("a.pick:has(small)").first)
        expect(page.locator(".sign-now")).to_be_visible()
        tablet.tap(page.get_by_role("button", name="I watched all"))
        tablet.tap(page.locator(".sign-now"))
        expect(page.get_by_role("status")).to_contain_text("Signed off")


def signs_off_a_group(tablet: Tablet) -> None:
    """Three students, each tapped: no control chooses more than one. No name moves while it is tapped."""
    page = tablet.page
    page.goto("/machines/3/sign-off/")
    rows = page.locator("[data-tap-row]").all()
    names = page.locator(".who-list").inner_text
    before = names()
    expect_signing_sizes(tablet)
    with tablet.act("group", slow=True):
        for row in rows[:3]:
            tablet.tap(row)
        tablet.tap(page.get_by_role("button", name="I watched all"))
        expect(page.locator("[name=student]:checked")).to_have_count(3)
        assert names() == before
        tablet.tap(page.locator(".sign-now"))
        for row in rows[:3]:
            expect(row.locator("[data-result]")).to_have_text("Signed off.")


def holds(tablet: Tablet, server: Server) -> None:
    """Horseplay at machine 2: one tap on the student's page; the floor asks to stop the run."""
    page = tablet.page
    [(student,)] = server.rows("SELECT student_id FROM machines_run WHERE machine_id = 2 AND ended_at IS NULL")
    page.goto(f"/classes/{CLASS}/register/{student}/")
    with tablet.act("hold", slow=True):
        tablet.tap(page.get_by_role("button", name="Horseplay: out of the shop"))
        expect(page.locator(".held").first).to_be_visible()
    page.goto(FLOOR)
    expect(page.locator(".still")).to_contain_text("on hold since this run began")
    with tablet.act("stop the held run"):
        tablet.tap(page.locator(".still").get_by_role("button", name="Mark as stopped"))
        expect(page.get_by_role("status")).to_contain_text("is marked as stopped")


def writes_up_an_incident(tablet: Tablet) -> None:
    page = tablet.page
    page.goto("/shops/1/incidents/new/")
    with tablet.act("incident"):
        tablet.tap(page.locator("label.tap:has([name=who])").first)
        tablet.tap(page.locator("label.tap:has([name=machine][value='2'])"))
        tablet.tap(page.locator("label.tap:has([name=doing])").first)
        page.locator("[name=words]").fill("A chip hit the cheek.")
        tablet.tap(page.locator("label.tap:has([name=office])"))
        tablet.tap(page.get_by_role("button", name="Save, finish later"))
        expect(page.get_by_role("heading", level=1)).to_contain_text("Incident at drill press 2")


def ends_and_closes(tablet: Tablet, phone: Page) -> None:
    page = tablet.page
    page.goto(FLOOR)
    with tablet.act("end all", slow=True):
        tablet.tap(page.get_by_role("button", name="End all runs"))
        expect(page.locator(".tile.free, .tile.in-use, .tile.checking")).to_have_count(0)
    with tablet.act("stop the last run"):
        tablet.tap(page.locator(".still").get_by_role("button", name="Mark as stopped").first)
        expect(page.locator(".still")).to_have_count(0)
    with tablet.act("close"):
        tablet.tap(page.get_by_role("link", name="Close the shop"))
        for row in page.locator(".round li").all():
            tablet.tap(row.locator(".choice").first)
            row.locator("select").select_option(index=1)
        tablet.tap(page.locator(".sign-now"))
        page.wait_for_url(f"**{FLOOR}")
    phone.goto("/machines/4/")
    expect(phone.locator(".at-floor")).to_contain_text("Keep off")
