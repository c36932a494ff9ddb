"""Commands whose help is read in the language at hand."""

from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from shopsafe.language.messages import _


class TranslatedCommand(BaseCommand):
    """`help` is a marked sentence: the class is made before the language is known."""

    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> CommandParser:
        self.help = _(self.help)
        return super().create_parser(prog_name, subcommand, **kwargs)
