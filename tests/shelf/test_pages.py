"""Every question of every subject renders on the page that a student gets, and every rule on its card."""

import random
import re
from dataclasses import replace
from html import unescape
from types import SimpleNamespace
from uuid import UUID

from django.template.loader import render_to_string

from quizzes.banks.pictures.files import drawing, picture_names
from quizzes.facts import Blueprint, EditionText, FormQuestion, History, Spot, option_texts, pair_left_texts
from quizzes.questions.assembly import assemble
from quizzes.questions.showing import show
from tests.shelf.banks import PICTURES, bank_of, each_bank

ATTEMPT = SimpleNamespace(pk=UUID(int=1), bank_id=1, edition=SimpleNamespace(number=1))


def edition_of(code: str) -> EditionText:
    bank = bank_of(code)
    return EditionText(
        bank=bank, pictures={name: drawing(name, (PICTURES / name).read_bytes()) for name in picture_names(bank)}
    )


def everything(code: str) -> tuple[FormQuestion, ...]:
    """A form that asks every question of the bank."""
    bank = bank_of(code)
    whole = replace(bank, blueprint=Blueprint(ask=len(bank.live_questions)))
    return assemble(whole, History(), random.Random(1)).lines


def texts_in(page: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", page)).split())


@each_bank
def test_every_question_renders_with_all_that_it_says(code: str) -> None:
    edition, lines = edition_of(code), everything(code)
    assert {line.code for line in lines} == {question.code for question in edition.bank.live_questions}
    for line in lines:
        question, asked = edition.bank.question_by_code[line.code], show(edition, line, 1)
        context = {"attempt": ATTEMPT, "asked": asked, "sheet": SimpleNamespace(revision=0, lacks=""), "total": 1}
        page = render_to_string("quizzes/attempts/question.html", context)
        page_texts = texts_in(page)
        for text in (question.asks, *option_texts(question), *pair_left_texts(question)):
            assert " ".join(text.split()) in page_texts, f"{line.code}: {text}"
        assert (page.count("<image ") == 1) == isinstance(question, Spot)


@each_bank
def test_every_rule_renders_on_its_card(code: str) -> None:
    edition = edition_of(code)
    for rule in edition.bank.live_rules:
        picture = edition.pictures.get(rule.picture)
        assert (picture is None) == (rule.picture == "")
        context = {"attempt": ATTEMPT, "rule": rule, "picture": picture, "text": edition.bank, "number": 1, "total": 1}
        page = render_to_string("quizzes/relearning/card.html", context)
        assert rule.says in texts_in(page)
        assert rule.why in texts_in(page)
        assert (page.count("<img ") == 1) == (picture is not None)
