"""The app of the record."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate, pre_migrate
from django.utils.translation import gettext_lazy


class LogbookConfig(AppConfig):
    name = "shopsafe.logbook"
    label = "logbook"
    verbose_name = gettext_lazy("Logbook")

    def ready(self) -> None:
        from shopsafe.logbook.verification.guards import install_triggers, remove_triggers

        # One sender: the signal is sent once for each app, and after all of them are migrated.
        pre_migrate.connect(remove_triggers, sender=self)
        post_migrate.connect(install_triggers, sender=self)
