"""The reviewer's print: an edition with its rules, sources, numbers, keys and pictures, and lines to sign."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from string import ascii_uppercase

from quizzes.banks.sources.rules import Source
from quizzes.facts import (
    AllThatApply,
    BankPicture,
    EditionText,
    Measure,
    OneAnswer,
    Order,
    Pair,
    Question,
    Rule,
    Spot,
    Value,
    deciding_words,
)
from quizzes.questions.on_paper import swapping_steps
from quizzes.questions.showing import center_of
from shopsafe.conventions import written_day
from shopsafe.language.messages import _, marked
from shopsafe.paper.press.render import render_pdf
from shopsafe.paper.rules.sheets import LETTER, Paper

SIGNERS = 3  # as many as sign on one print


@dataclass(frozen=True, kw_only=True)
class ReviewSheet:
    school: str
    demo: bool
    edition: int
    digest: str
    published: date
    printed: date
    text: EditionText
    pictures: Mapping[str, str]  # digest → data: address
    sources: tuple[Source, ...]


@dataclass(frozen=True, kw_only=True)
class Line:
    """One answer: its words, and whether the key says that it is right."""

    says: str
    right: bool


@dataclass(frozen=True, kw_only=True)
class Region:
    """A place of a picture as it is graded: its letter and its outline, in the picture's own units."""

    letter: str
    says: str
    right: bool
    points: str
    x: float
    y: float


@dataclass(frozen=True, kw_only=True)
class ReviewedQuestion:
    code: str
    kind: str
    asks: str
    decided_by: tuple[str, ...]
    lines: tuple[Line, ...] = ()
    note: str = ""
    picture: BankPicture | None = None
    address: str = ""
    alt: str = ""
    regions: tuple[Region, ...] = ()


@dataclass(frozen=True, kw_only=True)
class ReviewedRule:
    rule: Rule
    values: tuple[Value, ...]
    questions: tuple[ReviewedQuestion, ...]
    picture: BankPicture | None = None
    address: str = ""


def reviewers_pdf(sheet: ReviewSheet, paper: Paper = LETTER) -> bytes:
    """One PDF of some twenty pages. Its keys are in it: for staff and reviewers, never for a class."""
    bank = sheet.text.bank
    context = {
        "sheet": sheet,
        "bank": bank,
        "rules": list(reviewed_rules(sheet)),
        "signers": range(SIGNERS),
        "paper": paper,
        "kinds": {kind: _(name) for kind, name in KIND_NAMES.items()},
        "cells": [
            (_("Review"), bank.subject),
            (_("Edition"), f"{sheet.edition}, {written_day(sheet.published)}"),
            (_("Printed"), written_day(sheet.printed)),
        ],
    }
    return render_pdf(
        "quizzes/paper/review.html",
        context,
        title=_("Review: {bank}, edition {edition}", bank=bank.subject, edition=sheet.edition),
    )


KIND_NAMES = {
    "one": marked("one answer"),
    "several": marked("all that apply"),
    "order": marked("put in order"),
    "pair": marked("match"),
    "spot": marked("point at the place"),
    "measure": marked("a number"),
}


def reviewed_rules(sheet: ReviewSheet) -> Iterator[ReviewedRule]:
    bank = sheet.text.bank
    for rule in bank.live_rules:
        picture = sheet.text.pictures.get(rule.picture)
        yield ReviewedRule(
            rule=rule,
            values=bank.values_of_rule.get(rule.code, ()),
            questions=tuple(
                reviewed_question(sheet, rule, question)
                for question in bank.live_questions
                if question.rule == rule.code
            ),
            picture=picture,
            address=sheet.pictures.get(picture.digest, "") if picture else "",
        )


def reviewed_question(sheet: ReviewSheet, rule: Rule, question: Question) -> ReviewedQuestion:
    picture = sheet.text.pictures.get(question.picture) if isinstance(question, Spot) else None
    return ReviewedQuestion(
        code=question.code,
        kind=_(KIND_NAMES[question.kind]),
        asks=question.asks,
        decided_by=deciding_words(rule, question),
        lines=tuple(_lines(sheet, question)),
        note=_note(question),
        picture=picture,
        address=sheet.pictures.get(picture.digest, "") if picture else "",
        alt=question.picture_alt if isinstance(question, Spot) else "",
        regions=tuple(_regions(question)) if isinstance(question, Spot) else (),
    )


def _lines(sheet: ReviewSheet, question: Question) -> Iterator[Line]:
    match question:
        case OneAnswer(right=right, wrong=wrong):
            yield Line(says=right, right=True)
            yield from (Line(says=text, right=False) for text in wrong)
        case AllThatApply(right=rights, wrong=wrong):
            yield from (Line(says=text, right=True) for text in rights)
            yield from (Line(says=text, right=False) for text in wrong)
        case Order(steps=steps):
            yield from (Line(says=f"{number}. {step}", right=True) for number, step in enumerate(steps, 1))
        case Pair(pairs=pairs, extra=extra):
            yield from (Line(says=f"{left}: {right}", right=True) for left, right in pairs)
            yield from (Line(says=_("Matches nothing: {text}", text=text), right=False) for text in extra)
        case Measure():
            value = sheet.text.bank.value_by_code[question.value]
            bound = f"{_(value.bound)} " if value.bound else ""
            yield Line(says=f"{bound}{value.key(question.row)} {value.unit}", right=True)


def _note(question: Question) -> str:
    if isinstance(question, Order) and question.may_swap:
        return swapping_steps(question.may_swap)
    if isinstance(question, Measure) and question.tolerance != "0":
        return _("Right within {tolerance} more or less.", tolerance=question.tolerance)
    return ""


def _regions(question: Spot) -> Iterator[Region]:
    for number, (letter, place) in enumerate(zip(ascii_uppercase, question.places, strict=False), 1):
        x, y = center_of(place)
        points = " ".join(f"{across:g},{down:g}" for across, down in place.points)
        yield Region(letter=letter, says=place.says, right=number == question.right, points=points, x=x, y=y)
