"""A teacher places holds on a student and lifts them."""

import uuid
from typing import Any

from django.contrib import messages
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from machines.clearance.facts import HoldWay
from machines.clearance.queries import machines_of
from machines.holds import acts
from machines.holds.forms import HoldForm, LiftForm, LiftUndoneForm
from machines.holds.queries import banks_with_rules, liftable_holds, rules_now, way_for
from machines.models import Hold
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.clock import page_moment
from shopsafe.school.pages.after_sign_in import onward
from shopsafe.school.pages.form_parts import TapForm
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.refused_on import refused_on, status_of
from shopsafe.school.people.classes import student_of_section
from shopsafe.school.people.names_in_class import full_name_in, short_name_in


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def hold_place(request: SignedInRequest, section: int, student: int) -> HttpResponse:
    """Which machines, why, and what lifts it; ?next= leads back to the page that suggested it."""
    at = page_moment(request)
    stored_section = access.section_for(request.user, section)
    person = student_of_section(stored_section, student)
    form = HoldForm(
        request.POST or None,
        machines=machines_of(stored_section.shop_id, at),
        banks=banks_with_rules(request.user, at),
        rules_of=lambda bank: rules_now(bank, at),
        initial=_suggested(request.GET),
    )
    if request.method == "POST" and form.is_valid():
        with refused_on(form):
            acts.place_hold(student=person, by=request.user, **form.asked())
            messages.success(request, _("{student} is on hold.", student=short_name_in(stored_section, person, at)))
            return redirect(onward(request, "student-standings", stored_section.pk, person.pk))
    context = {
        "section": stored_section,
        "student": person,
        "called": full_name_in(stored_section, person, at),
        "form": form,
    }
    return render(request, "machines/holds/hold.html", context, status=status_of(form))


def _suggested(asked: QueryDict) -> dict[str, Any]:
    """What a page suggests for a hold: ?machine= checks that machine, ?reason= chooses why, ?report= is named."""
    report = asked.get("report", "")
    return {
        **({"where": "some", "machines": [asked["machine"]]} if "machine" in asked else {}),
        **({"reason": asked["reason"]} if "reason" in asked else {}),
        **({"words": _("See report {report}.", report=report)} if report.isdecimal() else {}),
    }


@role("teacher")
@require_POST
def hold_horseplay(request: SignedInRequest, section: int, student: int) -> HttpResponse:
    """Out of the shop for horseplay: every machine, until a talk. The second of two taps."""
    stored_section = access.section_for(request.user, section)
    person = student_of_section(stored_section, student)
    form = TapForm(request.POST)
    at = page_moment(request)
    acts.place_hold(
        student=person,
        machines=None,
        reason=Hold.Reason.HORSEPLAY,
        lifts=Hold.Lifts.TALK,
        by=request.user,
        tap=form.cleaned_data["tap"] if form.is_valid() else uuid.uuid4(),
    )
    messages.success(
        request,
        _("{student} is out of the shop until you have talked.", student=short_name_in(stored_section, person, at)),
    )
    return redirect("student-standings", stored_section.pk, person.pk)


@role("teacher", "office")
@require_http_methods(["GET", "HEAD", "POST"])
def hold_lift(request: SignedInRequest, hold: int) -> HttpResponse:
    at, row = page_moment(request), access.one_of(liftable_holds(request.user), pk=hold)
    way = way_for(row, at)
    left = way.not_done(at)
    start = {"words": _("Rule cards read and recalled.") if way.lifts == HoldWay.RULES else _("Quiz passed again.")}
    form = (LiftUndoneForm if left else LiftForm)(request.POST or None, initial=start if way.done(at) else {})
    if request.method == "POST" and form.is_valid():
        with refused_on(form):
            acts.lift_hold(hold=row, by=request.user, **form.cleaned_data)
            messages.success(request, _("The hold on {student} is lifted.", student=row.student.short_name))
            return redirect("home")
    context = {"hold": row, "form": form, "way": way, "left": left, "done": way.done(at)}
    return render(request, "machines/holds/lift.html", context, status=status_of(form))
