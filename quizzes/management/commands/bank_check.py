"""manage.py bank_check FILE: what a careful colleague would find, as JSON. Exit 1 where an error blocks."""

import json
import sys
from argparse import ArgumentParser
from dataclasses import asdict
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError

from quizzes.banks.files.rules.toml_file import BankFileError, read_bank
from quizzes.banks.files.rules.zip_file import read_sent
from quizzes.banks.rules.checks import blocks, check
from shopsafe.language.commands import TranslatedCommand
from shopsafe.language.messages import _, marked


class Command(TranslatedCommand):
    help = marked(
        "Checks a bank file (.toml, or .zip with its pictures) and prints the findings as JSON. Nothing is stored."
    )
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)

    def handle(self, *args: Any, **options: Any) -> None:
        path: Path = options["file"]
        try:
            bank = read_bank(read_sent(path.read_bytes()).text)
        except OSError as error:
            raise CommandError(_("{path} can't be read: {error}", path=path, error=error)) from error
        except BankFileError as error:
            report = {"file": str(path), "problems": [asdict(problem) for problem in error.problems], "findings": []}
            self._say(report, blocked=True)
            return
        findings = check(bank)
        report = {"file": str(path), "problems": [], "findings": [asdict(finding) for finding in findings]}
        self._say(report, blocked=blocks(findings))

    def _say(self, report: dict[str, Any], *, blocked: bool) -> None:
        self.stdout.write(json.dumps(report | {"blocks": blocked}, indent=2, ensure_ascii=False))
        if blocked:
            sys.exit(1)
