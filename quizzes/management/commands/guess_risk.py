"""manage.py guess_risk BANK [--knows 0.8] [--tries 3], or --options 4,4,4 without a database: JSON."""

import json
from argparse import ArgumentParser
from fractions import Fraction
from typing import Any

from django.core.management.base import CommandError

from quizzes.access import bank_named
from quizzes.banks.draft_rows import draft_of
from quizzes.banks.editor.first_scores import first_scores
from quizzes.guessing.certainty import certainty, certainty_data
from quizzes.guessing.risk import KNOWS, as_data, risk_of, risk_of_options
from quizzes.questions.overlap import overlaps
from shopsafe.language.commands import TranslatedCommand
from shopsafe.language.messages import _, marked


class Command(TranslatedCommand):
    help = marked(
        "How likely a perfect attempt is by luck, as JSON: for a bank's settings, or for questions of so many options."
    )
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("bank", nargs="?", help=_("a bank's primary key, code or subject"))
        parser.add_argument("--options", help=_("options a question, such as 4,4,4: no database is read"))
        parser.add_argument("--knows", default=str(float(KNOWS)), help=_("share of the rules known, 0 to 1"))
        parser.add_argument("--tries", type=int, help=_("fresh forms; the misses allowed on a day unless given"))

    def handle(self, *args: Any, **options: Any) -> None:
        knows, tries = _share(options["knows"]), options["tries"]
        if tries is not None and not 1 <= tries <= 1000:
            raise CommandError(_("--tries is a whole number from 1 to 1000."))
        if bool(options["bank"]) == bool(options["options"]):
            raise CommandError(_("Give a bank, or --options 4,4,4."))
        neighbors: dict[str, Any] = {}
        if options["options"]:
            risk = risk_of_options(_counts(options["options"]), knows, tries or 1)
            sure = certainty(risk.questions)
        else:
            bank = bank_named(options["bank"])
            text = draft_of(bank).bank
            risk = risk_of(text, knows, tries)
            neighbors = {"neighbors_share": {each.students: round(each.shared, 3) for each in overlaps(text)}}
            sure = certainty(risk.questions, first_scores(bank))
        self.stdout.write(json.dumps(as_data(risk) | {"certainty": certainty_data(sure)} | neighbors, indent=2))


def _share(text: str) -> Fraction:
    try:
        share = Fraction(text)
    except (ValueError, ZeroDivisionError) as error:
        raise CommandError(_("--knows is a share such as 0.8.")) from error
    if not 0 <= share <= 1:
        raise CommandError(_("--knows is a share from 0 to 1."))
    return share


def _counts(text: str) -> tuple[int, ...]:
    counts = text.split(",")
    if not all(count.strip().isdecimal() and 2 <= int(count) <= 1000 for count in counts) or len(counts) > 1000:
        raise CommandError(_("--options are whole numbers from 2, such as 4,4,4."))
    return tuple(map(int, counts))
