"""A bank in another language: every text that its file has a translation for, and the bank's own for the rest.

A bank file holds one table a language, from a text of the bank to the same text in that language:

    [text.es]
    "Keep the guard low." = "Mantenga baja la guarda."

A text that is changed later has no translation until the table is changed too, so nobody reads an old rule.
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
    found = table.get(language) if isinstance(table, Mapping) else None
    if not isinstance(found, Mapping):
        return {}
    return {text: said for text, said in found.items() if isinstance(said, str) and said.strip()}


def in_language(edition: EditionText, language: str) -> EditionText:
    """The edition as read in `language`. Codes, places, keys and values are the same, so grading is too."""
    said = words(edition.bank, language)
    if not said:
        return edition
    bank = replace(
        edition.bank,
        about=said.get(edition.bank.about, edition.bank.about),
        after=said.get(edition.bank.after, edition.bank.after),
        rules=tuple(_rule(rule, said) for rule in edition.bank.rules),
        questions=tuple(_whole(question, said) for question in edition.bank.questions),
    )
    return replace(edition, bank=bank)


def _rule(rule: Rule, said: Mapping[str, str]) -> Rule:
    return replace(_whole(rule, said), recall=rule.recall and _recall(rule.recall, said))


def _recall(recall: Recall, said: Mapping[str, str]) -> Recall:
    """Whole or not at all; the words of the bank's own language fill the blank too."""
    text, keys = said.get(recall.text, ""), tuple(said[key] for key in recall.key if key in said)
    if not keys or text.count("____") != 1:
        return recall
    return Recall(text=text, key=(*keys, *recall.key))


def _whole[T: Rule | Question](one: T, said: Mapping[str, str]) -> T:
    """Whole or not at all: options in two languages would point at the odd one."""
    translated: T = _translated(one, said)
    return translated if _complete(one, said) else one


def _complete(one: Rule | Question, said: Mapping[str, str]) -> bool:
    """Every text has its translation, and no two options of a question have the same."""
    if not all(text in said for text in texts(one)):
        return False
    if isinstance(one, Rule):
        return True
    return all(len({said[text] for text in group}) == len(group) for group in (option_texts(one), pair_left_texts(one)))


def language_used(bank: BankText, one: Rule | Question, language: str) -> str:
    """The language in which this rule or question of the bank (as written) is read where `language` is asked for."""
    said = words(bank, language)
    return language if said and _complete(one, said) else bank.language


def texts(one: object) -> Iterator[str]:
    """Every text of a rule or question that a student reads."""
    if isinstance(one, str):
        yield from [one] if one else []
    elif isinstance(one, tuple):
        for part in one:
            yield from texts(part)
    elif is_dataclass(one) and not isinstance(one, Recall):
        for field in fields(one):
            if field.name not in NOT_READ:
                yield from texts(getattr(one, field.name))


def _translated(one: Any, said: Mapping[str, str]) -> Any:
    if isinstance(one, str):
        return said.get(one, one)
    if isinstance(one, tuple):
        return tuple(_translated(part, said) for part in one)
    if is_dataclass(one) and not isinstance(one, type | Recall):
        changes = {
            field.name: _translated(getattr(one, field.name), said)
            for field in fields(one)
            if field.name not in NOT_READ
        }
        return replace(one, **changes)
    return one
