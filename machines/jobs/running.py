"""Runs the jobs of the night that are due, one after the other, each in one process at a time."""

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from threading import Event, Thread
from uuid import UUID, uuid4

from django.db import DatabaseError, connection

from machines.jobs.failing import JobFailed
from machines.jobs.work import WORK
from shopsafe.act import server_time
from shopsafe.language.kept import as_kept, kept_words
from shopsafe.language.messages import sentences_kept
from shopsafe.school.jobs.acts import beat, claim_job, end_job

EVERY = 10.0  # seconds between two signs of life
logger = logging.getLogger("shopsafe.jobs")


@dataclass(frozen=True)
class JobResult:
    code: str
    failed: bool
    result: str


def run_due() -> list[JobResult]:
    """Runs every job that is due and that no other process runs."""
    return [done for code in WORK if (done := run_job(code))]


def run_job(code: str, *, anyway: bool = False) -> JobResult | None:
    """What became of the job; None if it is not due, or another process runs it. Nothing that goes wrong in a job ends
    the process: the next job runs, and the office reads the reason."""
    claim = uuid4()
    if not claim_job(code=code, claim=claim, anyway=anyway):
        return None
    try:
        with heard_of(code, claim), sentences_kept():
            result, failed = WORK[code](server_time()), False
    except JobFailed as problem:
        result, failed = problem.sentence, True
    except Exception as problem:
        logger.exception("The job %s failed.", code)
        result, failed = f"{type(problem).__name__}: {problem}", True
    end_job(code=code, claim=claim, result=result, failed=failed)
    return JobResult(code, failed, kept_words(as_kept(result)))


@contextmanager
def heard_of(code: str, claim: UUID) -> Iterator[None]:
    """While the job runs, a sign of life every ten seconds, on a connection of its own."""
    over = Event()

    def signs() -> None:
        while not over.wait(EVERY):
            try:
                beat(code=code, claim=claim)
            except DatabaseError:  # the job itself holds the database: the next sign comes later
                logger.debug("No sign of life of the job %s.", code)
        connection.close()

    thread = Thread(target=signs, daemon=True)
    thread.start()
    try:
        yield
    finally:
        over.set()
        thread.join()
