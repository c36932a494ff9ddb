"""The app of banks and attempts."""

from django.apps import AppConfig
from django.utils.translation import gettext_lazy

from quizzes import declared_records, logbook_words
from shopsafe.logbook import sentences
from shopsafe.logbook.verification import declared


class QuizzesConfig(AppConfig):
    name = "quizzes"
    verbose_name = gettext_lazy("Quizzes")

    def ready(self) -> None:
        sentences.register(logbook_words.WORDS)
        declared.register(declared_records.RECORDS)
