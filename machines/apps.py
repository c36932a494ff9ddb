"""The app of machines and clearance."""

from django.apps import AppConfig

from machines import logbook_words
from shopsafe.logbook import sentences


class MachinesConfig(AppConfig):
    name = "machines"
    verbose_name = "Machines"

    def ready(self) -> None:
        sentences.register(logbook_words.WORDS)
