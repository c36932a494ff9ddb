"""The press: a process beside this one that makes the PDFs, with a limit to its time and its memory.

Whatever a sheet holds, the pages go on: a press that takes too long or too much is stopped, and the next print gets a
new one. It stays between prints, since starting it takes a second, and ends with the process it works for.
"""

import base64
import json
import logging
import os
import struct
import subprocess
import sys
import threading
from collections.abc import Sequence
from datetime import datetime
from typing import IO

from django.conf import settings

from shopsafe.language.messages import _
from shopsafe.paper.press.worker import Attachment, Carried, PrintFailed, attachments, to_pdf

LENGTH = struct.Struct(">Q")
DONE, REFUSED, TOO_BIG = b"d", b"r", b"m"

log = logging.getLogger("shopsafe.paper")


class PressStopped(Exception):
    """The press ended before it answered."""


class Press:
    """One press at a time; prints take turns, since two threads gain nothing."""

    def __init__(self, seconds: float, megabytes: int) -> None:
        self.seconds, self.megabytes = seconds, megabytes
        self._turn = threading.Lock()
        self._process: subprocess.Popen[bytes] | None = None
        self._printed = 0

    def make(self, htmls: Sequence[str], variant: str | None, inside: Carried = None) -> bytes:
        """The PDF. Raises PrintFailed, with a sentence for the page."""
        order = as_order(htmls, variant, inside)
        with self._turn:
            verdict, body = self._ask(order)
            if verdict == TOO_BIG and self._printed:
                self.stop()  # what earlier prints left in its memory is not this one's fault
                verdict, body = self._ask(order)
            if verdict == TOO_BIG:
                self.stop()
                raise PrintFailed("print.too-big", _("This print needs too much memory. Print fewer at once."))
        if verdict == REFUSED:
            log.error("%s", body.decode())
            raise PrintFailed()
        self._printed += 1
        return body

    def _ask(self, order: bytes) -> tuple[bytes, bytes]:
        process = self._running()
        late = threading.Event()

        def end() -> None:
            late.set()
            process.kill()

        watch = threading.Timer(self.seconds, end)
        watch.start()
        try:
            send(process.stdin, order)
            return receive(process.stdout)
        except (PressStopped, BrokenPipeError) as gone:
            self.stop()
            if late.is_set():
                sentence = _(
                    "This print took longer than {seconds} seconds and was stopped. Print fewer at once.",
                    seconds=f"{self.seconds:g}",
                )
                raise PrintFailed("print.too-slow", sentence) from gone
            return TOO_BIG, b""  # the libraries below Python end the process when they get no memory
        finally:
            watch.cancel()

    def _running(self) -> "subprocess.Popen[bytes]":
        if self._process is None or self._process.poll() is not None:
            self._printed = 0
            self._process = subprocess.Popen(  # noqa: S603  our own module, and a number
                [sys.executable, "-m", "shopsafe.paper.press.process", str(self.megabytes)],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                cwd=settings.BASE_DIR,
            )
        return self._process

    def stop(self) -> None:
        """Ends the press; the next print starts another."""
        if self._process is not None:
            self._process.kill()
            self._process.communicate()
            self._process = None


def as_order(htmls: Sequence[str], variant: str | None, inside: Carried) -> bytes:
    carried = [
        [attached.name, base64.b64encode(attached.body).decode(), attached.about, attached.at.isoformat()]
        for attached in attachments(inside)
    ]
    return json.dumps([list(htmls), variant, carried]).encode()


def from_order(order: bytes) -> tuple[list[str], str | None, list[Attachment]]:
    htmls, variant, carried = json.loads(order)
    inside = [
        Attachment(name, base64.b64decode(body), about, datetime.fromisoformat(at)) for name, body, about, at in carried
    ]
    return htmls, variant, inside


def send(pipe: IO[bytes] | None, body: bytes, verdict: bytes = b"") -> None:
    assert pipe  # noqa: S101  opened as a pipe above
    pipe.write(verdict + LENGTH.pack(len(body)) + body)
    pipe.flush()


def receive(pipe: IO[bytes] | None) -> tuple[bytes, bytes]:
    """The verdict and the body; raises Stopped when there is nothing more."""
    verdict = _exactly(pipe, 1)
    (length,) = LENGTH.unpack(_exactly(pipe, LENGTH.size))
    return verdict, _exactly(pipe, length)


def _exactly(pipe: IO[bytes] | None, length: int) -> bytes:
    body = pipe.read(length) if pipe else b""
    if len(body) < length:
        raise PressStopped
    return body


def main(megabytes: int) -> None:
    """The press itself: an order in, a PDF out, until there are no more orders."""
    import resource

    resource.setrlimit(resource.RLIMIT_AS, (megabytes << 20, megabytes << 20))
    orders, answers = sys.stdin.buffer, os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # whatever a library prints is no answer
    while length := orders.read(LENGTH.size):
        send(answers, *answer(orders.read(LENGTH.unpack(length)[0])))


def answer(order: bytes) -> tuple[bytes, bytes]:
    """The body and the verdict on it."""
    try:
        return to_pdf(*from_order(order)), DONE
    except MemoryError:
        return b"", TOO_BIG
    except Exception as problem:  # the press goes on, whatever a sheet did
        return f"{type(problem).__name__}: {problem}"[:500].encode(), REFUSED


if __name__ == "__main__":
    main(int(sys.argv[1]))
