"""The app of machines and clearance."""

from django.apps import AppConfig

from machines import logbook_words
from shopsafe.logbook import sentences


class MachinesConfig(AppConfig):
    name = "machines"
    verbose_name = "Machines"

    def ready(self) -> None:
        from machines.queries.around import asked_first, banks_here, cleared_until  # models can be imported only now
        from quizzes import around

        sentences.register(logbook_words.WORDS)
        around.register(around.Around(here=banks_here, first=asked_first, cleared=cleared_until))
