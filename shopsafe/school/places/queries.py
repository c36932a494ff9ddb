"""Questions about terms. Nothing here writes."""

from datetime import date

from shopsafe.school import access
from shopsafe.school.models import Person, Term


def term_at(person: Person, day: date) -> Term | None:
    """The term of the asker's school that a new class is for, most likely: the one that runs on `day`, of several the
    one that began last; else the next; else the last one there was."""
    terms = list(access.terms_for(person))
    running = [term for term in terms if term.first_day <= day <= term.last_day]
    coming = [term for term in reversed(terms) if term.first_day > day]
    return next(iter(running or coming or terms), None)


def overlapping(term: Term) -> list[Term]:
    """The other terms of its school that share a day with this one, the earliest first."""
    shared = Term.objects.filter(school=term.school_id, first_day__lte=term.last_day, last_day__gte=term.first_day)
    return list(shared.exclude(pk=term.pk).order_by("first_day", "pk"))
