"""Sheets that several tests look at, drawn once a process: the same facts give the same bytes."""

import inspect
from collections.abc import Callable
from functools import cache, wraps

from django.utils.translation import get_language

from shopsafe.paper import handouts, prints


def once[**P, T](make: Callable[P, T]) -> Callable[P, T]:
    """Makes what it made before from the same facts in the same language, whether what is taken for granted was said
    or not."""
    takes = inspect.signature(make)

    @cache
    def kept(language: str, *args: P.args, **named: P.kwargs) -> T:
        return make(*args, **named)

    @wraps(make)
    def made(*args: P.args, **named: P.kwargs) -> T:
        bound = takes.bind(*args, **named)
        bound.apply_defaults()
        return kept(get_language(), *bound.args, **bound.kwargs)

    return made


wall_card = once(prints.wall_card)
wall_chart = once(prints.wall_chart)
slips_pdf = once(prints.slips_pdf)
pocket_cards = once(handouts.pocket_cards)
substitute_sheet = once(handouts.substitute_sheet)
agreement = once(handouts.agreement)
rule_posters = once(handouts.rule_posters)
