"""Sentences that people read, looked up in the language at hand. Rules: no Django.

English is the language that the sentences are written in, so a sentence without a translation reads as it is written.
The catalogs are gettext's; `use_catalog` connects them when Django starts, so that rules need not know of it.
"""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar

type Lookup = Callable[[str], str]
type CountedLookup = Callable[[str, str, int], str]


def _as_written(sentence: str) -> str:
    return sentence


def _counted_as_written(singular: str, plural: str, count: int) -> str:
    return singular if count == 1 else plural


_look_up: Lookup = _as_written
_look_up_counted: CountedLookup = _counted_as_written
_runs_from_the_right: Callable[[], bool] = bool
_keeping: ContextVar[bool] = ContextVar("keeping", default=False)


class KeptSentence(str):
    """A sentence in the language at hand that knows what it was made of: see `kept.py`."""

    forms: tuple[str, ...]  # as it was written, and its plural where it is counted; of a row, what is between
    values: Mapping[str, object]
    is_row: bool = False  # its values one after another


@contextmanager
def sentences_kept() -> Iterator[None]:
    """Inside, each sentence that is looked up is a KeptSentence."""
    before = _keeping.set(True)
    try:
        yield
    finally:
        _keeping.reset(before)


def _with_origin(text: str, forms: tuple[str, ...], values: Mapping[str, object]) -> str:
    if not _keeping.get():
        return text
    sentence = KeptSentence(text)
    sentence.forms, sentence.values = forms, values
    return sentence


def use_catalog(
    look_up: Lookup, look_up_counted: CountedLookup, runs_from_the_right: Callable[[], bool] = bool
) -> None:
    """Takes translations from these functions, of the shape of `gettext` and `ngettext`, from now on.

    The third says whether the language at hand runs from right to left."""
    global _look_up, _look_up_counted, _runs_from_the_right
    _look_up, _look_up_counted, _runs_from_the_right = look_up, look_up_counted, runs_from_the_right


def runs_from_the_right() -> bool:
    """Whether the language at hand does."""
    return _runs_from_the_right()


def isolated(value: object) -> object:
    """A text that runs in its own direction whatever stands around it [Unicode Standard Annex 9, 2.4.2]."""
    if isinstance(value, str) and any(letter.isalpha() for letter in value):
        return f"\u2068{value}\u2069"
    return value


def _filled(sentence: str, values: dict[str, object], written: tuple[str, ...]) -> str:
    """With its values. What reads as written is English, so that its direction need not be asked."""
    if sentence not in written and _runs_from_the_right():
        values = {name: isolated(value) for name, value in values.items()}
    return sentence.format(**values)


def _(sentence: str, /, **values: object) -> str:
    """A sentence in the language at hand, its `{names}` filled with values: `_("{name} is on hold.", name=name)`."""
    translated = _look_up(sentence)
    text = _filled(translated, values, (sentence,)) if values else translated
    return _with_origin(text, (sentence,), values)


def counted(singular: str, plural: str, /, count: int, **values: object) -> str:
    """The form for this count: `counted("{count} machine", "{count} machines", count=3)` reads "3 machines"."""
    values = {"count": count, **values}
    text = _filled(_look_up_counted(singular, plural, count), values, (singular, plural))
    return _with_origin(text, (singular, plural), values)


def marked(sentence: str) -> str:
    """The sentence as it is: collected for translators here, and looked up with `_` where it is shown.

    For constants, which are made before the language at hand is known.
    """
    return sentence


def stored(sentence: str) -> str:
    """The sentence as it is, and no work for translators: it goes into a record, and records are kept in English."""
    return sentence
