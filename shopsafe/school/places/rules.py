"""What is missing before a school can work, and what ends soon. Rules: no clock, no Django."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from shopsafe.language.messages import _, counted

SOON: Final = timedelta(days=14)
LONGEST_TERM: Final = timedelta(days=400)  # common practice: a school year, with room for a late start


@dataclass(frozen=True, slots=True)
class TermDays:
    name: str
    first_day: date
    last_day: date


@dataclass(frozen=True, slots=True)
class SchoolFacts:
    """What the office has set up so far; names in the order in which they are read."""

    shops: int
    terms: Sequence[TermDays]
    classes: int  # of terms that are not over
    without_teacher: Sequence[str] = ()
    without_students: Sequence[str] = ()
    shopless_teachers: Sequence[str] = ()
    without_agreement: int = 0
    agreement_classes: Sequence[str] = ()  # the classes of those students
    without_slip: int = 0


@dataclass(frozen=True, slots=True)
class Missing:
    """One line of the office's first page. `page` is the name of the page that fixes it."""

    sentence: str
    page: str


def missing(facts: SchoolFacts, today: date) -> list[Missing]:
    """Every line, what stops the school from working first."""
    lines = []
    if not facts.shops:
        lines.append(Missing(_("There is no shop yet."), "shop-add"))
    lines += _of_terms(facts, today)
    if facts.shops and facts.terms and not facts.classes:
        lines.append(Missing(_("There is no class in this term."), "class-add"))
    if facts.shopless_teachers:
        names = ", ".join(facts.shopless_teachers)
        lines.append(Missing(_("In no shop yet, and so without any class or machine: {names}.", names=names), "office"))
    if facts.without_teacher:
        lines.append(
            Missing(
                _("Classes without a teacher: {names}.", names=", ".join(facts.without_teacher)),
                "office",
            )
        )
    if facts.without_students:
        lines.append(
            Missing(
                _("Classes without students: {names}.", names=", ".join(facts.without_students)),
                "people",
            )
        )
    if facts.without_agreement:
        lines.append(Missing(_without_agreement(facts.without_agreement, ", ".join(facts.agreement_classes)), "people"))
    if number := facts.without_slip:
        sentence = counted(
            "{count} student without a sign-in slip.", "{count} students without a sign-in slip.", count=number
        )
        lines.append(Missing(sentence, "people"))
    return lines


def _without_agreement(number: int, names: str) -> str:
    if not names:
        return counted(
            "{count} student without a safety agreement.", "{count} students without a safety agreement.", count=number
        )
    return counted(
        "{count} student without a safety agreement, in {names}.",
        "{count} students without a safety agreement, in {names}.",
        count=number,
        names=names,
    )


def is_too_long(first_day: date, last_day: date) -> bool:
    """A mistyped year: clearances end with the term, and would not end for years."""
    return last_day - first_day > LONGEST_TERM


def _of_terms(facts: SchoolFacts, today: date) -> list[Missing]:
    if not facts.terms:
        return [Missing(_("There is no term yet. Clearances end with the term."), "term-add")]
    last = max(facts.terms, key=lambda term: term.last_day)
    if last.last_day < today:
        return [Missing(_("{term} is over. Add the next term.", term=last.name), "term-add")]
    if last.last_day - today <= SOON:
        return [
            Missing(_("{term} ends soon, and with it every clearance. Add the next term.", term=last.name), "term-add")
        ]
    return []
