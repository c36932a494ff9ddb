"""A teacher says what a kind of machine, or one machine, asks for: looks at what would change, then sets it."""

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from machines.clearance.loading import prerequisite_row, terms_of
from machines.clearance.records import machines_for
from machines.clearance.rules.wording import day
from machines.models import Machine
from machines.setting_up.acts import requirements as acts
from machines.setting_up.forms.requirements import FromDayForm, RequirementsForm, start
from machines.setting_up.queries.requirements import (
    RequirementsPage,
    amounts_offered,
    kinds_for,
    prerequisite_order,
    requirements_page,
    requirements_preview,
)
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import page_moment
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.refused_on import refused_on, status_of

PAGE = "machines/setting_up/requirements.html"


@role("teacher")
@require_safe
def kinds(request: SignedInRequest) -> HttpResponse:
    """Every kind of my shops: what it asks for, and what comes before what."""
    order = prerequisite_order(request.user, page_moment(request))
    return render(request, "machines/setting_up/kinds.html", {"kinds": order})


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def kind_requirements(request: SignedInRequest, kind: int) -> HttpResponse:
    stored_kind = access.one_of(kinds_for(request.user), pk=kind)
    at = page_moment(request)
    return _page(request, requirements_page(request.user, stored_kind, None, at), at)


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def machine_requirements(request: SignedInRequest, kind: int, machine: int) -> HttpResponse:
    """One machine may ask for something else than its kind."""
    stored_machine: Machine = access.one_of(machines_for(request.user), pk=machine, kind=kind, retired_at=None)
    at = page_moment(request)
    return _page(request, requirements_page(request.user, stored_machine.kind, stored_machine, at), at)


def _page(request: SignedInRequest, page: RequirementsPage, at: datetime) -> HttpResponse:
    """The form; sent with `step`: "look" shows what would change, "set" sets it, anything else goes on filling in."""
    first = start(page.terms, page.things, page.seen, own=page.own)
    amounts, single = amounts_offered(page.kind, page.terms), page.machine is not None
    form = RequirementsForm(request.POST or None, initial=first, single=single, amounts=amounts, **page.choices)
    context = {"page": page, "form": form, "zone": request.user.school.time_zone}
    if request.method != "POST":
        return render(request, PAGE, context)
    step = request.POST.get("step", "")
    if not form.is_valid() or step not in ("look", "set"):
        return render(request, PAGE, context, status=status_of(form))
    days = FromDayForm(request.POST if step == "set" else None, initial={"from_day": _today(request, at)})
    with refused_on(form):
        if step == "set" and days.is_valid():
            return _set(request, page, form, days, at)
        return _look(request, page, form, days, at, context)
    return render(request, PAGE, context, status=status_of(form))


def _set(
    request: SignedInRequest, page: RequirementsPage, form: RequirementsForm, days: FromDayForm, at: datetime
) -> HttpResponse:
    zone = request.user.school.time_zone
    requirements = form.row(page.kind, page.machine, days.moment(at, zone))
    seen = form.cleaned_data["seen"]
    row = acts.set_requirements(wanted=requirements, asked=form.asked(), by=request.user, seen=seen)
    messages.success(
        request, _("Set from {day}: what {machine} asks for.", day=day(row.holds_from, zone), machine=page.spoken)
    )
    return redirect("kinds")


def _look(
    request: SignedInRequest,
    page: RequirementsPage,
    form: RequirementsForm,
    days: FromDayForm,
    at: datetime,
    context: dict[str, Any],
) -> HttpResponse:
    """Who would lose and who would gain, and from which day it shall hold."""
    requirements = form.row(page.kind, page.machine, at)
    things = acts.may_be_set(wanted=requirements, asked=form.asked(), by=request.user, at=at)
    context |= {
        "change": requirements_preview(request.user, requirements, things, at),
        "days": days,
        "things": [prerequisite_row(thing) for thing in things],
        "terms": terms_of(requirements),
    }
    context |= {"wanted": requirements, "earliest": _today(request, at)}
    return render(request, "machines/setting_up/requirements_look.html", context, status=422 if days.errors else 200)


def _today(request: SignedInRequest, at: datetime) -> str:
    return local_day(at, request.user.school.time_zone).isoformat()
