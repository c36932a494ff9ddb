"""The reports: a person's own with what was done, and for staff those that wait; a teacher clears one."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from machines.clearance.records import tagged_out
from machines.models import HazardReport
from machines.reports.hazards import acts
from machines.reports.hazards.forms import ClearForm
from machines.reports.hazards.queries import ended_reports, open_reports, reports_at, reports_for
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.clock import page_moment
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.refused_on import refused_on, status_of

ALL = ("student", "teacher", "substitute", "office")


@role(*ALL)
@require_safe
def reports(request: SignedInRequest) -> HttpResponse:
    at = page_moment(request)
    context = {"open": open_reports(request.user, at), "ended": ended_reports(request.user, at)}
    return render(request, "machines/reports/hazards/reports.html", context)


@role(*ALL)
@require_safe
def report(request: SignedInRequest, report: int) -> HttpResponse:
    return _page(request, access.one_of(reports_for(request.user), pk=report), ClearForm())


@role("teacher")
@require_http_methods(["POST"])
def report_clear(request: SignedInRequest, report: int) -> HttpResponse:
    row = access.one_of(reports_for(request.user), pk=report)
    form = ClearForm(request.POST)
    if form.is_valid():
        with refused_on(form):
            acts.clear_report(report=row, by=request.user, finding=form.cleaned_data["found"])
            messages.success(
                request, _("Cleared: {place}. The person who reported it can read what you found.", place=row.place)
            )
            return redirect("reports")
    return _page(request, access.one_of(reports_for(request.user), pk=report), form)


def _page(request: SignedInRequest, row: HazardReport, form: ClearForm) -> HttpResponse:
    """The report as its reporter, or as staff, see it."""
    at = page_moment(request)
    machine = row.machine_id
    context = {
        "report": row,
        "form": form,
        "others": [other for other in reports_at(request.user, machine, at) if other != row] if machine else [],
        "out": tagged_out([machine], at).get(machine) if machine else None,
        "own": row.by_id == request.user.pk,
    }
    return render(request, "machines/reports/hazards/report.html", context, status=status_of(form))


@role(*ALL)
@require_safe
def report_photo(request: SignedInRequest, report: int) -> HttpResponse:
    row = access.one_of(reports_for(request.user).filter(photo__isnull=False), pk=report)
    if row.photo is None:
        raise Http404
    response = HttpResponse(bytes(row.photo.content), content_type="image/webp")
    response.headers["Cache-Control"] = "private, no-store"
    return response
