"""Commands whose `help` is a marked sentence, looked up when it is printed."""

from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from shopsafe.language.messages import _


class TranslatedCommand(BaseCommand):
    """A command of `manage.py`. Its own sentences, and those of its arguments, are looked up while it runs."""

    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> CommandParser:
        self.help = _(self.help)
        return super().create_parser(prog_name, subcommand, **kwargs)
