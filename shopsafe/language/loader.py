"""Templates in the language at hand: English as they are written, any other with their sentences exchanged once."""

from collections.abc import Sequence
from typing import Any

from django.template import Origin
from django.template.loaders import cached
from django.utils.translation import get_language, get_language_bidi, gettext, ngettext

from shopsafe.language.languages import ENGLISH
from shopsafe.language.tags import forms_of
from shopsafe.language.templates import Message, exchanged, isolated


class Loader(cached.Loader):
    """Django's loader that keeps compiled templates, one for each language."""

    def cache_key(self, template_name: str, skip: Any = None) -> str:
        key: str = super().cache_key(template_name, skip)
        language = get_language() or ENGLISH
        return key if language == ENGLISH else f"{language} {key}"

    def get_contents(self, origin: Origin) -> str:
        source: str = super().get_contents(origin)
        if (get_language() or ENGLISH) == ENGLISH:
            return source
        source = exchanged(source, translated)
        return isolated(source) if get_language_bidi() else source


def translated(message: Message) -> Sequence[str] | None:
    """The forms of a message in the language at hand; None where it has no translation."""
    if message.plural:
        forms = forms_of(message.text, message.plural, ngettext)
        return None if set(forms) <= {message.text, message.plural} else forms
    text = gettext(message.text)
    return None if text == message.text else [text]
