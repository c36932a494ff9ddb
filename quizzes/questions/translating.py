"""A bank in another language: every text that its file has a translation for, and the bank's own for the rest.

A bank file holds one table a language, from a text of the bank to the same text in that language:

    [text.es]
    "Keep the guard low." = "Mantenga baja la guarda."

A text that is changed later has no translation until the table is changed too, so no one reads an old rule.
"""

from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass, replace
from typing import Any

from quizzes.facts import BankText, EditionText, Question, Recall, Rule, option_texts, pair_left_texts

TABLE = "text"
# What is a name or a number, and is never read by a student.
NOT_READ = frozenset({"code", "rule", "source", "picture", "value", "tolerance"})


def languages(bank: BankText) -> tuple[str, ...]:
    """The languages the bank has beside its own."""
    table = bank.extras.get(TABLE)
    return tuple(sorted(code for code in table if words(bank, code))) if isinstance(table, Mapping) else ()


def words(bank: BankText, language: str) -> dict[str, str]:
    """Text → its translation; empty for a language the bank does not have."""
    table = bank.extras.get(TABLE)
    translations = table.get(language) if isinstance(table, Mapping) else None
    if not isinstance(translations, Mapping):
        return {}
    return {
        text: translation
        for text, translation in translations.items()
        if isinstance(translation, str) and translation.strip()
    }


def in_language(edition: EditionText, language: str) -> EditionText:
    """The edition as read in `language`. Codes, places, keys and values are the same, so grading is too."""
    translations = words(edition.bank, language)
    if not translations:
        return edition
    bank = replace(
        edition.bank,
        about=translations.get(edition.bank.about, edition.bank.about),
        after=translations.get(edition.bank.after, edition.bank.after),
        rules=tuple(_rule(rule, translations) for rule in edition.bank.rules),
        questions=tuple(_whole(question, translations) for question in edition.bank.questions),
    )
    return replace(edition, bank=bank)


def _rule(rule: Rule, translations: Mapping[str, str]) -> Rule:
    return replace(_whole(rule, translations), recall=rule.recall and _recall(rule.recall, translations))


def _recall(recall: Recall, translations: Mapping[str, str]) -> Recall:
    """Whole or not at all; the words of the bank's own language fill the blank too."""
    text, keys = (
        translations.get(recall.text, ""),
        tuple(translations[key] for key in recall.key if key in translations),
    )
    if not keys or text.count("____") != 1:
        return recall
    return Recall(text=text, key=(*keys, *recall.key))


def _whole[T: Rule | Question](item: T, translations: Mapping[str, str]) -> T:
    """Whole or not at all: options in two languages would point at the odd one."""
    translated: T = _translated(item, translations)
    return translated if _complete(item, translations) else item


def _complete(item: Rule | Question, translations: Mapping[str, str]) -> bool:
    """Every text has its translation, and no two options of a question have the same."""
    if not all(text in translations for text in texts(item)):
        return False
    if isinstance(item, Rule):
        return True
    return all(
        len({translations[text] for text in group}) == len(group)
        for group in (option_texts(item), pair_left_texts(item))
    )


def language_used(bank: BankText, item: Rule | Question, language: str) -> str:
    """The language in which this rule or question of the bank (as written) is read where `language` is asked for."""
    translations = words(bank, language)
    return language if translations and _complete(item, translations) else bank.language


def texts(item: object) -> Iterator[str]:
    """Every text of a rule or question that a student reads."""
    if isinstance(item, str):
        yield from [item] if item else []
    elif isinstance(item, tuple):
        for part in item:
            yield from texts(part)
    elif is_dataclass(item) and not isinstance(item, Recall):
        for field in fields(item):
            if field.name not in NOT_READ:
                yield from texts(getattr(item, field.name))


def _translated(item: Any, translations: Mapping[str, str]) -> Any:
    if isinstance(item, str):
        return translations.get(item, item)
    if isinstance(item, tuple):
        return tuple(_translated(part, translations) for part in item)
    if is_dataclass(item) and not isinstance(item, type | Recall):
        changes = {
            field.name: _translated(getattr(item, field.name), translations)
            for field in fields(item)
            if field.name not in NOT_READ
        }
        return replace(item, **changes)
    return item
