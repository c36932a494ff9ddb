"""Here today: one screen a class, on which a teacher taps the students who are away."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.clock import page_moment
from shopsafe.school.here_today.acts import save_here_today
from shopsafe.school.here_today.queries import DayList, day_list
from shopsafe.school.models import Section
from shopsafe.school.naming.name_labels import full_names_of
from shopsafe.school.pages.after_sign_in import onward
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.refusals import Refused


@role("teacher", "substitute")
@require_http_methods(["GET", "HEAD", "POST"])
def here_today(request: SignedInRequest, section: int) -> HttpResponse:
    """Every student of the class; those who are ticked are away."""
    in_sight = access.section_for(request.user, section)
    if request.method != "POST":
        return _page(request, in_sight, page_list(request, in_sight))
    away = [int(key) for key in request.POST.getlist("away") if key.isdecimal() and len(key) < 12]
    try:
        save_here_today(section=in_sight, away=away, version=request.POST.get("version", ""), by=request.user)
    except Refused as refusal:
        return _page(request, in_sight, page_list(request, in_sight), refusal)
    current = page_list(request, in_sight)
    count = len(current.here)
    messages.success(
        request, _("Saved: {count} of {students} students are here.", count=count, students=len(current.students))
    )
    return redirect(onward(request, "here-today", section))


def page_list(request: SignedInRequest, section: Section) -> DayList:
    return day_list(section, page_moment(request))


def _page(request: SignedInRequest, section: Section, current: DayList, refusal: Refused | None = None) -> HttpResponse:
    context = {
        "section": section,
        "current": current,
        "names": full_names_of(current.students),
        "may_save": access.may(request.user, "say who is here", shop=section.shop),
        "refusal": refusal,
    }
    return render(request, "school/here_today/here_today.html", context, status=refusal.status if refusal else 200)
