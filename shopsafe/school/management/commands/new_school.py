"""manage.py new_school NAME --office NAME [--time-zone ZONE]: begins a school; asks for the office's password."""

import os
from argparse import ArgumentParser
from getpass import getpass
from typing import Any

from django.core.management.base import CommandError

from shopsafe.language.commands import TranslatedCommand
from shopsafe.language.messages import _, marked
from shopsafe.school.places.acts.founding import found_school
from shopsafe.school.refusals import Refused


class Command(TranslatedCommand):
    help = marked("Begins a school with its first office person, who then adds terms, shops, teachers and classes.")

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("name", help=_("the school's name"))
        parser.add_argument("--office", required=True, help=_("the name of the first person in its office"))
        parser.add_argument("--time-zone", default=_("America/Chicago"), help=_("such as America/Denver"))

    def handle(self, **options: Any) -> None:
        # From the environment where no terminal is: a password on the command line would be in everyone's sight.
        password = os.environ.get("OFFICE_PASSWORD") or getpass(_("Password for the office (15 characters or more): "))
        try:
            office = found_school(
                name=options["name"],
                time_zone=options["time_zone"],
                office_name=options["office"],
                password=password,
            )
        except Refused as refusal:
            raise CommandError(refusal.sentence) from refusal
        self.stdout.write(
            _(
                '{school}: sign in as "{office}" and set the school up under Office.',
                school=office.school,
                office=office.sign_in_name,
            )
        )
