"""manage.py jobs [--once | --now JOB]: runs the jobs of the night when they are due, until it is stopped."""

import json
import signal
from argparse import ArgumentParser
from dataclasses import asdict
from threading import Event
from typing import Any

from django.core.management.base import CommandError
from django.db import close_old_connections

from machines.jobs.running import JobResult, run_due, run_job
from machines.jobs.work import WORK
from shopsafe.language.commands import TranslatedCommand
from shopsafe.language.messages import _, marked

EVERY = 60.0  # seconds between two looks


class Command(TranslatedCommand):
    help = marked(
        "Takes the checkpoint, makes the backup and erases what is due, once a night. One process at a time runs a job."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        how = parser.add_mutually_exclusive_group()
        how.add_argument("--once", action="store_true", help=_("run what is due now, and end: for cron"))
        how.add_argument(
            "--now", choices=list(WORK), metavar="JOB", help=_("run it, due or not: {jobs}", jobs=", ".join(WORK))
        )

    def handle(self, *, once: bool, now: str | None, **options: Any) -> None:
        if now:
            done = run_job(now, anyway=True)
            if done is None:
                raise CommandError(_("Another process runs the job {job}.", job=now))
            self.tell([done])
        elif once:
            self.tell(run_due())
        else:
            self.stay()

    def stay(self) -> None:
        """Looks every minute; a job under way ends before the process does."""
        stopping = Event()
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, lambda *_: stopping.set())
        while not stopping.wait(EVERY):
            close_old_connections()
            run_due()

    def tell(self, results: list[JobResult]) -> None:
        self.stdout.write(json.dumps([asdict(result) for result in results], ensure_ascii=False))
        if failed := [result for result in results if result.failed]:
            raise CommandError("; ".join(f"{result.code}: {result.result}" for result in failed))
