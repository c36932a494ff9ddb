"""Editions in and out of their frozen bytes: written once as canonical JSON, read once while there is room."""

import json
from collections.abc import Mapping
from hashlib import sha256

import rfc8785

from quizzes.banks.draft_rows import picture_data
from quizzes.banks.editions.texts_in_memory import TextsInMemory
from quizzes.banks.rules.data import from_data, to_data
from quizzes.facts import BankPicture, BankText, EditionText, Value
from quizzes.models import Edition
from quizzes.questions.translating import in_language

# As text an edition takes some three times its bytes, and what is looked up in it a little more: measured on the shelf.
# The banks of a shop are two megabytes, so that a server of forty schools reads each once.
MOST_BYTES, TIMES = 64 * 1024 * 1024, 4
_read = TextsInMemory(MOST_BYTES)


def frozen(bank: BankText, pictures: Mapping[str, BankPicture]) -> tuple[str, str]:
    """(content, digest): the canonical JSON of a bank with its pictures, and the SHA-256 of those bytes."""
    content = rfc8785.dumps({"bank": to_data(bank), "pictures": picture_data(pictures)})
    return content.decode(), sha256(content).hexdigest()


def text_of(edition: Edition, language: str = "") -> EditionText:
    """The edition as text, in this language where it has it.

    Its bytes never change, so a process reads each once; `content` may be deferred.
    """
    text = _read.get((edition.digest, language))
    if text is None:
        text = in_language(text_of(edition), language) if language else _parsed(edition)
        _read.keep((edition.digest, language), text, TIMES * len(edition.content))
    return text


def first_values(edition: Edition) -> dict[str, Value]:
    """Each stored value of an edition, by its code, as the bank first had it: before a shop set its own."""
    missing = dict(text_of(edition).bank.value_by_code)
    first_by_code: dict[str, Value] = {}
    earlier = Edition.objects.filter(bank=edition.bank_id, number__lt=edition.number).order_by("number")
    for pk in earlier.values_list("pk", flat=True):
        earlier_values = text_of(Edition.objects.get(pk=pk)).bank.value_by_code
        first_by_code |= {code: earlier_values[code] for code in missing.keys() & earlier_values.keys()}
        missing = {code: value for code, value in missing.items() if code not in first_by_code}
        if not missing:
            break
    return first_by_code | missing


def replaced_values(edition: Edition) -> list[Value]:
    """What the bank first had of each stored value whose number, unit or source is another by now."""
    now = text_of(edition).bank.value_by_code
    firsts = first_values(edition).items()
    return [first_value for code, first_value in firsts if _told(first_value) != _told(now[code])]


def _told(value: Value) -> tuple[str, str]:
    return value.reads, value.source


def _parsed(edition: Edition) -> EditionText:
    return thawed(edition.content)


def thawed(content: str) -> EditionText:
    """The text in the frozen bytes of `frozen`."""
    data = json.loads(content)
    pictures = {name: BankPicture(**facts) for name, facts in data["pictures"].items()}
    return EditionText(bank=from_data(data["bank"]), pictures=pictures)
