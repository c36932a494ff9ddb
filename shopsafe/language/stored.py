"""Words that are stored: records keep labels in English, whatever language the page is in that a person stores from."""

from collections.abc import Callable
from functools import wraps

from django.utils.translation import get_language, override

STORED_IN = "en"


def as_stored[Words](words: Callable[[], Words]) -> Words:
    """What `words` gives in the language of records: `as_stored(report.get_kind_display)`."""
    with override(STORED_IN):
        return words()


def shown_and_stored[Words](words: Callable[[], Words]) -> tuple[Words, Words]:
    """What `words` gives in the language at hand, and in the language of records; made once where that is the same."""
    shown = words()
    return shown, (shown if (get_language() or STORED_IN) == STORED_IN else as_stored(words))


def stored_words[**Asked, Words](function: Callable[Asked, Words]) -> Callable[Asked, Words]:
    """Everything that the function words is in the language of records."""

    @wraps(function)
    def in_stored_language(*args: Asked.args, **kwargs: Asked.kwargs) -> Words:
        return as_stored(lambda: function(*args, **kwargs))

    return in_stored_language
