"""The app of banks and attempts."""

from django.apps import AppConfig

from quizzes import logbook_words
from shopsafe.logbook import sentences


class QuizzesConfig(AppConfig):
    name = "quizzes"
    verbose_name = "Quizzes"

    def ready(self) -> None:
        sentences.register(logbook_words.WORDS)
