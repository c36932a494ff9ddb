"""Reads the whole logbook because someone asked on the Logbook page, in a process of its own: progress and result are
stored, and the page shows them."""

from collections.abc import Iterator
from contextlib import contextmanager
from threading import Event, Thread
from uuid import UUID, uuid4

from django.db import connection

from shopsafe.language.messages import _, marked, sentences_kept
from shopsafe.logbook import queries
from shopsafe.logbook.acts.note_verification import note_verification
from shopsafe.logbook.acts.verification_runs import claim_verification, end_verification, report_reading
from shopsafe.logbook.rules.checkpoint_codes import read_code
from shopsafe.logbook.verification.verify import CheckpointMark, Verdict, verify

EVERY = 2.0  # seconds between two reports
PRINTED = ("checkpoint", "cut")  # faults that a code can bring out
FAILED = marked("The check stopped before its end. The server's log says why.")
NO_MATCH = marked(
    "The code {code} does not match. Compare it with the paper again: a code that was typed "
    "wrong does not match either. If the paper has that same code, entries up to {size} are not those that it "
    "was printed for."
)


@sentences_kept()
def read_if_asked() -> Verdict | None:
    """What the reading found; None if no one asked for one, or another process is at it."""
    claim = uuid4()
    run = claim_verification(claim=claim, to_read=2 * queries.size())
    if run is None:
        return None
    sentence = _(FAILED)
    try:
        verdict, sentence = read(claim, run.against)
        note_verification(verdict=verdict)
        return verdict
    finally:
        end_verification(claim=claim, outcome=sentence)


def read(claim: UUID, against: str) -> tuple[Verdict, str]:
    """The verdict, and what became of the code that the logbook was to be compared with. A code that does not match is
    no fault of the logbook: it may have been mistyped."""
    code = read_code(against)
    marks = [CheckpointMark(*code)] if code else []
    with reported(claim) as progress:
        verdict = verify(marks, progress.tell)
        if code and verdict.fault and verdict.fault.code in PRINTED:
            without = verify((), progress.tell)
            if without.fault is None or without.fault != verdict.fault:
                return without, _(NO_MATCH, code=against, size=code[0])
    if code and verdict.fault is None:
        return verdict, _(
            "The code {code} matches: entries 1 to {size} are those that it was printed for.",
            code=against,
            size=code[0],
        )
    return verdict, ""


class Progress:
    def __init__(self) -> None:
        self.read = 0

    def tell(self, read: int) -> None:
        self.read = read


@contextmanager
def reported(claim: UUID) -> Iterator[Progress]:
    """Stores how far the reading is, every two seconds, on a connection of its own: the reading's stays as it is."""
    progress, ended = Progress(), Event()

    def report() -> None:
        while not ended.wait(EVERY):
            report_reading(claim=claim, read=progress.read)
        connection.close()

    thread = Thread(target=report, daemon=True)
    thread.start()
    try:
        yield progress
    finally:
        ended.set()
        thread.join()
