"""The app of the record."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate, pre_migrate


class LogbookConfig(AppConfig):
    name = "shopsafe.logbook"
    label = "logbook"
    verbose_name = "Logbook"

    def ready(self) -> None:
        from shopsafe.logbook.verification.guards import install_triggers, remove_triggers

        # One sender: the signal is sent once for each app, and after all of them are migrated.
        pre_migrate.connect(remove_triggers, sender=self)
        post_migrate.connect(install_triggers, sender=self)
