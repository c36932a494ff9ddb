"""The app of the record."""

from django.apps import AppConfig


class LogbookConfig(AppConfig):
    name = "shopsafe.logbook"
    label = "logbook"
    verbose_name = "Logbook"
