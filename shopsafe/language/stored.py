"""Words that are stored: records keep labels in English, whatever language the page is in that a person stores from."""

from collections.abc import Callable

from django.utils.translation import override

STORED_IN = "en"


def as_stored[Words](words: Callable[[], Words]) -> Words:
    """What `words` gives in the language of records: `as_stored(report.get_kind_display)`."""
    with override(STORED_IN):
        return words()
