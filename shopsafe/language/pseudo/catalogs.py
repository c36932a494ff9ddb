"""The pseudo-languages as catalogs, so that Django looks a sentence up in them as in any other."""

from collections.abc import Callable
from gettext import NullTranslations

from django.conf import settings
from django.utils.translation import trans_real

from shopsafe.language.pseudo import PSEUDO


class PseudoCatalog(NullTranslations):
    """Gives every sentence, changed by a function: ours, those in templates, and Django's own."""

    def __init__(self, language: str, change: Callable[[str], str]) -> None:
        super().__init__()
        self._language, self._change = language, change

    def language(self) -> str:
        return self._language

    to_language = language

    def gettext(self, message: str) -> str:
        # Django joins a context to a message with this sign.
        return self._change(message.rpartition("\x04")[2])

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return self.gettext(msgid1 if n == 1 else msgid2)


def install() -> None:
    """From now on `activate("en-xa")` finds the pseudo-language. Django keeps a catalog for each language it was asked
    for, and one for LANGUAGE_CODE; it has no public way to add one that is not read from a file."""
    catalogs = {language: PseudoCatalog(language, change) for language, change in PSEUDO.items()}
    trans_real._translations.update(catalogs)  # type: ignore[attr-defined]
    if settings.LANGUAGE_CODE in catalogs:
        trans_real._default = catalogs[settings.LANGUAGE_CODE]  # type: ignore[attr-defined]
