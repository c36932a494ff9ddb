"""manage.py item_analysis BANK [--keep], or --responses FILE.csv, or --options FILE.csv --key KEY.csv: JSON."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError
from django.db import transaction

from quizzes.access import bank_named
from quizzes.banks.draft_rows import draft_of
from quizzes.banks.editions.texts import text_of
from quizzes.figures.counting import catch_up
from quizzes.figures.loading import contributions_of
from quizzes.figures.rules.as_data import analysis_data
from quizzes.figures.rules.bank_analysis import bank_data
from quizzes.figures.rules.response_files import BadFile, check_alike, read_picks, read_responses
from quizzes.models import Bank
from shopsafe.language.commands import TranslatedCommand
from shopsafe.language.messages import _, marked


class Command(TranslatedCommand):
    help = marked(
        "How good each question is, as JSON: from a bank's attempts, or from files of answers without a database."
    )
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("bank", nargs="?", help=_("a bank's primary key, code or subject"))
        parser.add_argument("--responses", type=Path, metavar="FILE", help=_("CSV: a row of names, then 1, 0 or empty"))
        parser.add_argument(
            "--options", type=Path, metavar="FILE", help=_("CSV: a row of names, then the options picked")
        )
        parser.add_argument(
            "--key", type=Path, metavar="FILE", help=_("CSV: a row of names and one row of right options")
        )

        parser.add_argument(
            "--keep", action="store_true", help=_("store the counts of attempts from before there were any")
        )

    def handle(self, *args: Any, **options: Any) -> None:
        files = options["responses"], options["options"], options["key"]
        if bool(options["bank"]) == any(files):
            raise CommandError(_("Give a bank, or --responses FILE, or --options FILE --key FILE."))
        if bool(options["options"]) != bool(options["key"]):
            raise CommandError(_("--options and --key go together: the options picked, and the right ones."))
        if options["keep"]:
            _keep(options["bank"])
        try:
            data = _of_bank(options["bank"]) if options["bank"] else _of_files(*files)
        except BadFile as error:
            raise CommandError(str(error)) from error
        self.stdout.write(json.dumps(data, indent=2, allow_nan=False))


def _keep(name: str | None) -> None:
    """Store what pages otherwise count again each time. It changes no figure."""
    if not name:
        raise CommandError(_("--keep goes with a bank."))
    bank = bank_named(name)
    with transaction.atomic():
        catch_up(bank.pk, bank.school.time_zone)


def _of_bank(name: str) -> dict[str, Any]:
    bank = bank_named(name)
    contributions = [parts for _, parts in contributions_of(bank.attempts.all())]
    return bank_data(_text(bank), contributions) | {"bank": bank.code, "subject": bank.subject}


def _text(bank: Bank) -> Any:
    latest = bank.editions.order_by("-number").first()
    return text_of(latest).bank if latest else draft_of(bank).bank


def _of_files(responses: Path | None, options: Path | None, key: Path | None) -> dict[str, Any]:
    answers = read_responses(responses.name, _bytes(responses)) if responses else None
    if options is None or key is None:
        assert answers is not None  # noqa: S101  `handle` has seen to it
        return analysis_data(answers)
    picks = read_picks(options.name, _bytes(options), key.name, _bytes(key))
    if answers and responses:
        check_alike(answers, picks, responses.name, options.name)
    return analysis_data(answers or picks.responses(), picks)


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise CommandError(_("{path} can't be read: {strerror}.", path=path, strerror=error.strerror)) from error
