"""The banks of the shelf as texts, read once a run."""

import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from quizzes.banks.files.rules.toml_file import read_bank
from quizzes.facts import AllThatApply, BankText, OneAnswer, Question, Spot, option_texts, pair_left_texts

ROOT = Path(__file__).resolve().parent.parent.parent
SHELF = ROOT / "fixtures" / "shelf"
PICTURES = SHELF / "pictures"
CODES = sorted(path.stem for path in SHELF.glob("*.toml") if path.stem != "starter-shops")

WOOD_SHOP = sorted(
    {
        "3d-printer", "band-saw", "belt-and-disc-sander", "bench-grinder", "drill-press", "finishing-and-glue",
        "general-shop-safety", "hand-tools-and-clamping", "jointer", "laser-cutter", "mitre-saw", "router-table",
        "scroll-saw", "spindle-sander", "table-saw", "thickness-planer", "wood-lathe",
    }
)  # fmt: skip

each_bank = pytest.mark.parametrize("code", CODES)


@cache
def bank_of(code: str) -> BankText:
    return read_bank((SHELF / f"{code}.toml").read_text(encoding="utf-8"))


def machine_of(code: str) -> dict[str, Any]:
    machine: dict[str, Any] = bank_of(code).extras.get("machine", {})
    return machine


def rule_texts(code: str) -> Iterator[tuple[str, str]]:
    """(where, text) for all that a rule's card says."""
    for rule in bank_of(code).live_rules:
        yield rule.code, rule.says
        yield rule.code, rule.why
        if rule.recall:
            yield rule.code, re.sub("_{3,}", rule.recall.key[0], rule.recall.text)


def question_texts(code: str) -> Iterator[tuple[str, str]]:
    """(where, text) for all that a question says: what it asks and every answer to pick from."""
    for question in bank_of(code).live_questions:
        yield question.code, question.asks
        for text in (*option_texts(question), *pair_left_texts(question)):
            yield question.code, text


def machine_texts(code: str) -> Iterator[tuple[str, str]]:
    """(where, text) for the lists of the machine: the check before use, the demonstration, what tags it out."""
    machine = machine_of(code)
    for key in ("stop", "pre_use", "demonstration", "tag_out", "stop_and_ask"):
        value = machine.get(key, [])
        for text in [value] if isinstance(value, str) else value:
            yield key, text


def keys_of(question: Question) -> frozenset[int]:
    """The places of the right answers among `option_texts`, where a single pick is right or wrong."""
    match question:
        case OneAnswer():
            return frozenset({0})
        case AllThatApply():
            return frozenset(range(len(question.right)))
        case Spot():
            return frozenset({question.right - 1})
    return frozenset()
