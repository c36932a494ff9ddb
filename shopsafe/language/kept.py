"""Sentences that one process stores and another shows, to each reader in the language at hand. Rules: no Django.

A job or a worker says what it did inside of `sentences_kept()`, and `as_kept` makes the text that is stored: a
sentence without values as it is written in English, any other as JSON with its values. `kept_words` reads it. What is
no sentence of ours, such as the words of an operating system, is stored and shown as it is.
"""

import json
from collections.abc import Callable, Iterable
from typing import Any

from shopsafe.language.messages import KeptSentence, _, counted

BEGINS = '{"say":'


def as_kept(sentence: str, most: int | None = None) -> str:
    """What is stored of a sentence. Where that is longer than `most`, the sentence in English, as far as it fits."""
    if not isinstance(sentence, KeptSentence):
        return sentence[:most]
    made_of = _made_of(sentence)
    text = json.dumps(made_of, ensure_ascii=False, separators=(",", ":")) if sentence.values else sentence.forms[0]
    return text if most is None or len(text) <= most else _in_english(made_of)[:most]


def kept_words(text: str) -> str:
    """The stored sentence in the language at hand."""
    if not text.startswith(BEGINS):
        return _(text) if text else ""
    try:
        made_of = json.loads(text)
    except ValueError:  # words of another program that begin so
        return text
    return str(_said(made_of, _, counted))


def together(sentences: Iterable[str], between: str = " ") -> str:
    """Sentences one after another, as one that can be kept."""
    each = {str(number): sentence for number, sentence in enumerate(sentences)}
    if not each:
        return ""
    whole = KeptSentence(between.join(each.values()))
    whole.forms, whole.values = (between,), each
    whole.is_row = True
    return whole


def _made_of(value: object) -> Any:
    if not isinstance(value, KeptSentence):
        return value if isinstance(value, int | float) else str(value)
    values = {name: _made_of(each) for name, each in value.values.items()}
    return {"say": list(value.forms), "with": values} | ({"row": True} if value.is_row else {})


def _said(made_of: Any, say: Callable[..., str], say_counted: Callable[..., str]) -> Any:
    """`made_of` is a value, or a sentence with values, which may be sentences themselves."""
    if not isinstance(made_of, dict):
        return made_of
    forms, values = made_of["say"], {name: _said(each, say, say_counted) for name, each in made_of["with"].items()}
    if made_of.get("row"):
        return forms[0].join(values.values())
    return say_counted(*forms, **values) if len(forms) > 1 else say(*forms, **values)


def _in_english(made_of: Any) -> str:
    def filled_counted(singular: str, plural: str, **values: Any) -> str:
        return (singular if values["count"] == 1 else plural).format(**values)

    return str(_said(made_of, str.format, filled_counted))
