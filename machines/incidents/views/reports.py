"""A report is begun, read, and gone on with."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from machines.incidents.acts import reports
from machines.incidents.choosing import form_to_go_on, form_to_open
from machines.incidents.forms import ReportForm
from machines.incidents.overview import incidents_page, preview
from machines.incidents.queries import WrittenReport, incident_for, report_now, settings_of
from machines.incidents.report_page import report_page
from machines.models import Incident
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.clock import page_moment
from shopsafe.school.models import Person
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.refused_on import refused_on, status_of

AT_FIELD = {
    "incident.no-one": "who",
    "incident.not-yours": "who",
    "incident.removed": "who",
    "incident.other-shop": "machine",
    "incident.in-future": "time",
}


@role("teacher", "office")
@require_safe
def incidents(request: SignedInRequest) -> HttpResponse:
    context = incidents_page(request.user, page_moment(request))
    return render(request, "machines/incidents/incidents.html", context)


@role("teacher", "office")
@require_http_methods(["GET", "HEAD", "POST"])
def incident_open(request: SignedInRequest, shop: int) -> HttpResponse:
    """Two minutes: who, and as much more as there is time for. ?machine=, ?student=, ?class= choose what is known."""
    at, place = page_moment(request), access.shop_for(request.user, shop)
    form = form_to_open(request.POST or None, request.GET, place, request.user, at)
    if request.method == "POST" and form.is_valid():
        with refused_on(form, AT_FIELD):
            report = form.report(complete="complete" in request.POST)
            incident = reports.open_incident(shop=place, report=report, by=request.user, tap=form.cleaned_data["tap"])
            messages.success(request, _("Saved."))
            return redirect("incident", incident.pk)
    known = preview(form, place, at)
    context = {"shop": place, "form": form, "settings": settings_of(place.school), "known": known, "at": at}
    return render(request, "machines/incidents/form/form.html", context, status=status_of(form))


@role("teacher", "office")
@require_safe
def incident(request: SignedInRequest, incident: int) -> HttpResponse:
    context = report_page(incident_for(request.user, incident), request.user, page_moment(request))
    return render(request, "machines/incidents/incident.html", context)


@role("teacher", "office")
@require_http_methods(["GET", "HEAD", "POST"])
def incident_report(request: SignedInRequest, incident: int) -> HttpResponse:
    """Continue the report: what is saved is a new version, and the earlier ones stay."""
    at, stored = page_moment(request), incident_for(request.user, incident)
    report = report_now(stored, request.user)
    form = form_to_go_on(request.POST or None, report, request.user, at)
    if request.method == "POST" and form.is_valid():
        with refused_on(form, AT_FIELD):
            _write(request, form, stored)
            messages.success(request, _("Saved."))
            return redirect("incident", stored.pk)
    newer = newer_than_shown(form, stored, request.user)
    context = {"shop": stored.shop, "form": form, "settings": settings_of(stored.school), "report": report, "at": at}
    return render(request, "machines/incidents/form/form.html", context | {"newer": newer}, status=status_of(form))


def newer_than_shown(form: ReportForm, stored: Incident, reader: Person) -> WrittenReport | None:
    """What was saved by someone else after the page was opened, to be shown beside what was typed."""
    if not form.is_bound:
        return None
    latest = report_now(stored, reader)
    if str(latest.version.number) == form["seen"].value():
        return None
    form.show_newer(latest.version.number)
    return latest


def _write(request: SignedInRequest, form: ReportForm, stored: Incident) -> None:
    reports.write_report(
        incident=stored,
        report=form.report(complete="complete" in request.POST),
        seen=form.cleaned_data["seen"] or 0,
        by=request.user,
        tap=form.cleaned_data["tap"],
    )
