"""The app of people and classes."""

from django.apps import AppConfig
from django.contrib.auth.signals import user_logged_in
from django.utils.translation import get_language_bidi, gettext, gettext_lazy, ngettext

from shopsafe import checks  # noqa: F401  registers them
from shopsafe.language.messages import use_catalog
from shopsafe.language.pseudo import catalogs as pseudo_catalogs
from shopsafe.logbook import sentences
from shopsafe.logbook.verification import declared
from shopsafe.school import declared_records, logbook_words


class SchoolConfig(AppConfig):
    name = "shopsafe.school"
    label = "school"
    verbose_name = gettext_lazy("School")

    def ready(self) -> None:
        use_catalog(gettext, ngettext, get_language_bidi)
        pseudo_catalogs.install()
        sentences.register(logbook_words.WORDS)
        declared.register(declared_records.RECORDS)
        # The act of signing in notes when it was, in its own transaction: a second one would wait for the disk again.
        user_logged_in.disconnect(dispatch_uid="update_last_login")
