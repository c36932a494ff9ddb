"""Changes a bank's draft, one thing at a time: put in, moved, retired. Nothing is ever deleted. Gives a new bank."""

import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from quizzes.facts import BankText, Blueprint, Question, Rule, Value

RULE, QUESTION = "rule", "question"
WORDS_IN_CODE = 4
LONGEST_CODE = 60


def put_rule(bank: BankText, rule: Rule) -> BankText:
    """In the place of the rule of the same code; a new one goes to the end."""
    return replace(bank, rules=_put(bank.rules, rule))


def put_value(bank: BankText, value: Value) -> BankText:
    return replace(bank, values=_put(bank.values, value))


def put_question(bank: BankText, question: Question) -> BankText:
    """In the place of the question of the same code; a new one goes behind the last of its rule."""
    if question.code in bank.question_by_code:
        return replace(bank, questions=_put(bank.questions, question))
    same = [place for place, other in enumerate(bank.questions) if other.rule == question.rule]
    place = same[-1] + 1 if same else len(bank.questions)
    return replace(bank, questions=(*bank.questions[:place], question, *bank.questions[place:]))


def put_head(bank: BankText, *, subject: str, about: str, after: str) -> BankText:
    return replace(bank, subject=subject, about=about, after=after)


def put_blueprint(bank: BankText, blueprint: Blueprint, must: Iterable[str]) -> BankText:
    """`must`: the codes of the rules that every quiz asks."""
    asked = set(must)
    rules = tuple(replace(rule, must_ask=rule.code in asked) for rule in bank.rules)
    return replace(bank, blueprint=blueprint, rules=rules)


def put_file(before: BankText, file: BankText) -> BankText:
    """The file in the place of the draft. What the draft has and the file lacks is kept, retired, behind the rest."""
    return replace(
        file,
        values=(*file.values, *_missing(before.values, file.value_by_code)),
        rules=(*file.rules, *(replace(item, retired=True) for item in _missing(before.rules, file.rule_by_code))),
        questions=(
            *file.questions,
            *(replace(item, retired=True) for item in _missing(before.questions, file.question_by_code)),
        ),
    )


def _missing[T: (Rule, Question, Value)](items: Sequence[T], here: Mapping[str, T]) -> list[T]:
    return [item for item in items if item.code not in here]


def retire(bank: BankText, what: str, code: str, *, retired: bool = True) -> BankText:
    """Takes a rule or a question out of the quiz, or back in. Raises KeyError where there is none of that code."""
    if what == RULE:
        return put_rule(bank, replace(bank.rule_by_code[code], retired=retired))
    return put_question(bank, replace(bank.question_by_code[code], retired=retired))


def move(bank: BankText, what: str, code: str, step: int) -> BankText:
    """A rule past its neighbor (step −1, +1), a question past one of its rule. Raises KeyError as `retire` does."""
    if what == RULE:
        return replace(bank, rules=_moved(bank.rules, bank.rule_by_code[code], bank.rules, step))
    question = bank.question_by_code[code]
    siblings = [other for other in bank.questions if other.rule == question.rule]
    return replace(bank, questions=_moved(bank.questions, question, siblings, step))


def fresh_code(taken: Iterable[str], text: str, spare: str) -> str:
    """A code for something new: the first words of its text, with a number where they are taken."""
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    stem = "-".join(re.findall(r"[a-z0-9]+", plain)[:WORDS_IN_CODE])[:LONGEST_CODE].strip("-") or spare
    used, number, code = set(taken), 1, stem
    while code in used:
        number += 1
        code = f"{stem}-{number}"
    return code


def _put[T: (Rule, Question, Value)](items: Sequence[T], item: T) -> tuple[T, ...]:
    kept: list[T] = [item if other.code == item.code else other for other in items]
    if item not in kept:
        kept.append(item)
    return tuple(kept)


def _moved(items: Sequence[Any], item: Any, siblings: Sequence[Any], step: int) -> tuple[Any, ...]:
    """The item and its neighbor among the siblings, changed about; at the end of the row nothing moves."""
    to = siblings.index(item) + step
    if not 0 <= to < len(siblings):
        return tuple(items)
    change = {item.code: siblings[to], siblings[to].code: item}
    return tuple(change.get(other.code, other) for other in items)
