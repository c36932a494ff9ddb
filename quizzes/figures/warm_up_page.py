"""The warm-up of a class: what its page and its sheets show."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from urllib.parse import urlencode

from quizzes.facts import Rule
from quizzes.figures import queries
from quizzes.figures.rules.reteaching import WARM_UP_RULES, WarmUp, met_and_missed, reteaching, warm_up
from quizzes.models import Bank
from shopsafe.conventions import written_day
from shopsafe.language.messages import _
from shopsafe.paper.fonts import heading_font
from shopsafe.paper.handouts import largest_size
from shopsafe.paper.press.render import render_pdf
from shopsafe.paper.rules.legibility import capital_of, reading_distance
from shopsafe.paper.rules.sheets import FOLLOW, LETTER
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Person, Section
from shopsafe.school.naming.name_labels import short_names_of


@dataclass(frozen=True, kw_only=True)
class SitTogether:
    """Two students by the names that the teacher calls them."""

    learner: str
    helper: str  # empty if no one is free who knows the rules
    rules: tuple[Rule, ...]


@dataclass(frozen=True, kw_only=True)
class WarmUpPage:
    bank: Bank
    warm_up: WarmUp
    pairs: tuple[SitTogether, ...]

    @property
    def query(self) -> str:
        """Return what stands behind the address of the page and of its sheets."""
        return urlencode([("bank", self.bank.pk), *(("rule", rule.code) for rule in self.warm_up.poster)])


def warm_up_page(bank: Bank, students: Sequence[Person], codes: Sequence[str]) -> WarmUpPage:
    """Return the warm-up on the rules in `codes`, as far as the bank has them; without any, on those most missed."""
    tries = queries.tries_of(students, bank)
    text = queries.latest_text(bank)
    page = reteaching(text, met_and_missed(tries.tries), len(tries.tries), {})
    missed_codes = [rule.code for rule in (*(row.rule for row in page.rows), *page.landed)]
    content = warm_up(text, codes or missed_codes[:WARM_UP_RULES], tries.tries, missed_codes)
    names = short_names_of(students)
    pairs = () if page.few else content.pairs
    return WarmUpPage(
        bank=bank,
        warm_up=content,
        pairs=tuple(
            SitTogether(
                learner=names[pair.learner],
                helper=names[pair.helper] if pair.helper is not None else "",
                rules=pair.rules,
            )
            for pair in pairs
        ),
    )


WIDE, HIGH = LETTER.width - 40, LETTER.height - 80  # mm for the rules of the poster, numbers and lines left out


def poster_size(rules: Sequence[Rule]) -> float:
    """Return the largest font size, in mm, at which each rule is in its part of the poster."""
    part = HIGH / max(len(rules), 1) - 12
    return min(largest_size(rule.says, WIDE - 24, part, (heading_font(),), most=24) for rule in rules)


def warm_up_pdf(page: WarmUpPage, section: Section, at: datetime) -> bytes:
    """Return the poster, the sentences with a blank, and a sheet of answers for the teacher."""
    size = poster_size(page.warm_up.poster)
    context = {
        "page": page,
        "section": section,
        "size": f"{size:.2f}",
        "reads": reading_distance(capital_of(size, heading_font())),
        "paper": LETTER,
        "cells": [
            (_("Class"), section.name),
            (_("Subject"), page.bank.subject),
            (_("Printed"), written_day(local_day(at, section.school.time_zone))),
        ],
        "follow": _(FOLLOW),
    }
    return render_pdf("quizzes/figures/paper/warm_up.html", context, title=_("Warm-up: {bank}", bank=page.bank.subject))
