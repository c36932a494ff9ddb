"""manage.py logbook verify | checkpoint: reads the record and says, as JSON, whether it holds."""

import json
from argparse import ArgumentTypeError
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from shopsafe.logbook import chain
from shopsafe.logbook.acts.note_verification import note_verification
from shopsafe.logbook.acts.take_checkpoint import take_checkpoint
from shopsafe.logbook.verify import Mark, Verdict, verify


def mark(text: str) -> Mark:
    """A checkpoint as it is printed: how many entries, a colon, the root in hexadecimal."""
    size, _, root = text.partition(":")
    try:
        known = Mark(int(size), bytes.fromhex(root))
    except ValueError:
        known = Mark(-1, b"")
    if known.size < 0 or len(known.root) != chain.WIDTH:
        raise ArgumentTypeError(f"{text!r} is no checkpoint; give SIZE:ROOT as printed.")
    return known


def as_json(verdict: Verdict) -> dict[str, Any]:
    return {
        "holds": verdict.holds,
        "entries": verdict.entries,
        "erased": verdict.erased,
        "checkpoints": verdict.checkpoints,
        "head": verdict.head.hex(),
        "root": verdict.root.hex(),
        "first_bad_entry": verdict.fault.seq if verdict.fault else None,
        "what": verdict.fault.code if verdict.fault else None,
        "says": verdict.says_wrong,
    }


class Command(BaseCommand):
    help = "Checks the logbook, or takes a checkpoint of it to be kept elsewhere."

    def add_arguments(self, parser: CommandParser) -> None:
        deeds = parser.add_subparsers(dest="deed", required=True)
        check = deeds.add_parser(
            "verify", help="Read every entry; name the first bad one. Exit code 1 if there is one."
        )
        check.add_argument(
            "--against",
            type=mark,
            action="append",
            default=[],
            metavar="SIZE:ROOT",
            help="A checkpoint kept elsewhere, as printed on a chart or an evidence file. May be given again.",
        )
        deeds.add_parser("checkpoint", help="Print how many entries there are and the root over them.")

    def handle(self, *args: Any, deed: str, **options: Any) -> None:
        getattr(self, deed)(**options)

    def verify(self, against: list[Mark], **options: Any) -> None:
        verdict = verify(against)
        note_verification(verdict=verdict, at=timezone.now())
        self.say(as_json(verdict))
        if not verdict.holds:
            raise CommandError(verdict.says_wrong)

    def checkpoint(self, **options: Any) -> None:
        taken = take_checkpoint(at=timezone.now())
        self.say(
            {"size": taken.size, "root": bytes(taken.root).hex(), "at": chain.second(taken.at), "print": str(taken)}
        )

    def say(self, what: dict[str, Any]) -> None:
        self.stdout.write(json.dumps(what, indent=2))
