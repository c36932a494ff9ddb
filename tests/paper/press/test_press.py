"""The press: a process apart, stopped when it takes too long or too much; the next print gets a new one.

Each of these starts a real press, which takes a second: nothing else shows that the limits hold.
"""

import os
import signal
from collections.abc import Callable, Iterator
from datetime import UTC, datetime

import pytest

from shopsafe.paper.press.process import Press, as_order, from_order
from shopsafe.paper.press.worker import Attachment, PrintFailed, to_pdf
from tests.paper import looking

SHEET = '<html lang="en"><head><title>Sheet</title></head><body><p>Zoë may use it.</p></body></html>'
type Makes = Callable[[float, int], Press]


@pytest.fixture
def a_press() -> Iterator[Makes]:
    presses: list[Press] = []

    def make(seconds: float, megabytes: int) -> Press:
        presses.append(Press(seconds, megabytes))
        return presses[-1]

    yield make
    for press in presses:
        press.stop()


def test_press_matches_a_direct_print_and_survives_a_failed_sheet(a_press: Makes) -> None:
    press = a_press(60, 1024)
    assert press.make([SHEET, SHEET], "pdf/ua-1") == to_pdf([SHEET, SHEET], "pdf/ua-1")
    first = press._process
    with pytest.raises(PrintFailed, match="could not be made whole"):
        press.make(['<img src="file:///etc/passwd" alt="x">'], None)
    assert looking.text(press.make([SHEET], None)) == "Zoë may use it."
    assert press._process is first


def test_one_that_takes_too_long_is_stopped_and_says_so(a_press: Makes) -> None:
    press = a_press(0.2, 1024)
    with pytest.raises(PrintFailed, match=r"longer than 0.2 seconds"):
        press.make([SHEET], None)
    assert press._process is None
    press.seconds = 60
    assert press.make([SHEET], None)


def test_one_that_needs_too_much_memory_says_so(a_press: Makes) -> None:
    with pytest.raises(PrintFailed) as caught:
        a_press(60, 90).make([SHEET], None)
    assert caught.value.code == "print.too-big"


def test_one_that_was_killed_is_followed_by_another(a_press: Makes) -> None:
    press = a_press(60, 1024)
    press._running()
    assert press._process
    os.kill(press._process.pid, signal.SIGKILL)
    press._process.wait()
    assert press.make([SHEET], None)


def test_an_order_travels_whole() -> None:
    inside = Attachment("a.json", b"\x00\xff", "About", datetime(2026, 10, 12, tzinfo=UTC))
    assert from_order(as_order([SHEET], "pdf/a-3a", inside)) == ([SHEET], "pdf/a-3a", [inside])
    assert from_order(as_order([SHEET], "pdf/a-3a", [inside, inside])) == ([SHEET], "pdf/a-3a", [inside, inside])
    assert from_order(as_order([SHEET], None, None)) == ([SHEET], None, [])
