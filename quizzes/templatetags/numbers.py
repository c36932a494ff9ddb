"""Template filters for stored values: the number as its source states it, with the other system's beside it."""

from django import template

from quizzes.facts import Value
from quizzes.questions import unit_systems

register = template.Library()


@register.filter
def shown(value: Value) -> str:
    """ "1/4 in", and "1/4 in (6 mm)" where the school measures in millimeters."""
    return unit_systems.shown(value)


@register.filter
def shown_rows(value: Value) -> list[tuple[str, str]]:
    """The size and the amount of each row of a table, each with the other system's number where the school needs it."""
    return unit_systems.shown_rows(value)
