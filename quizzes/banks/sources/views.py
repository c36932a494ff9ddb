"""The page of sources, for teachers and for a person who checks the rules for the school."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from quizzes.access import banks_for
from quizzes.banks.sources.queries import sources_in_use
from shopsafe.school import access
from shopsafe.school.clock import page_moment
from shopsafe.school.pages.guards import SignedInRequest, role


@role("teacher")
@require_safe
def sources(request: SignedInRequest, bank: int | None = None) -> HttpResponse:
    """Each source with its edition or year, how far it was checked, and what rests on it."""
    one = access.one_of(banks_for(request.user).defer("draft"), pk=bank) if bank else None
    context = {"bank": one, "uses": sources_in_use(request.user, page_moment(request), bank)}
    return render(request, "quizzes/banks/sources.html", context)
