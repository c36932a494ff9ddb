"""Today: what a teacher needs now, and what a substitute needs to know."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from machines.prints.sheets.substitute_day import substitute_day
from machines.register.attention import today_for
from machines.setting_up.queries.first_run import unread_in_shops
from quizzes.banks.corrections.queries import waiting_corrections
from quizzes.relearning.queries import waiting_for
from shopsafe.school.clock import page_moment
from shopsafe.school.pages.guards import SignedInRequest, role


@role("teacher", "substitute")
@require_safe
def today(request: SignedInRequest) -> HttpResponse:
    """A teacher's day; for a substitute what may run, and who may use it."""
    at = page_moment(request)
    if request.user.is_substitute:
        return render(request, "machines/staff/standing_in.html", {"now": substitute_day(request.user, at)})
    context = {
        "now": today_for(request.user, at),
        "waiting": waiting_for(request.user, at),
        "practice": unread_in_shops(request.user, at),
        "corrections": waiting_corrections(request.user),
    }
    return render(request, "machines/staff/today.html", context)
