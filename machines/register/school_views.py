"""What the office reads of machines: the whole school, class by class."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from machines.floor.showing.hour_card import left_open
from machines.register.school import school_summary
from machines.register.views import AsOf
from shopsafe.school.pages.guards import SignedInRequest, role


@role("office")
@require_safe
def school_standings(request: SignedInRequest) -> HttpResponse:
    """Who may use what, in numbers: classes down, kinds of machine across; with ?at= as it was then."""
    asked = AsOf(request, request.user.school)
    context = {"summary": school_summary(request.user, asked.at), "asked": asked}
    context["left_open"] = left_open(request.user) if asked.is_now else []
    return render(request, "machines/register/standings.html", context, status=422 if asked.wrong else 200)
