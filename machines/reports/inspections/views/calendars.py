"""The calendar of due inspections (iCalendar, RFC 5545): opened, ended, and read by any calendar program."""

from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from machines.reports.inspections.acts import calendars
from machines.reports.inspections.calendar_address import is_key_of
from machines.reports.inspections.queries import calendars_for, inspections_in, open_calendar
from machines.reports.rules.calendar_feed import calendar_feed, inspection_entry
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.clock import school_moment
from shopsafe.school.pages.guards import SignedInRequest, role


@role("teacher", "office")
@require_POST
def calendar_open(request: SignedInRequest, shop: int) -> HttpResponse:
    calendars.open_calendar(shop=access.shop_for(request.user, shop), by=request.user)
    return redirect("inspections")


@role("teacher", "office")
@require_POST
def calendar_end(request: SignedInRequest, calendar: int) -> HttpResponse:
    calendars.end_calendar(calendar=access.one_of(calendars_for(request.user), pk=calendar), by=request.user)
    return redirect("inspections")


@login_not_required
@require_safe
def calendar(request: HttpRequest, calendar: int, key: str) -> HttpResponse:
    """Machines and lists, no people. Anyone with the address reads it; ended or made up, it is the same 404."""
    row = open_calendar(calendar)
    if row is None or not is_key_of(row, key):
        raise Http404
    at, host = school_moment(row.school_id), request.get_host().partition(":")[0]
    entries = [
        entry
        for line in inspections_in(row.shop, at)
        if (entry := inspection_entry(line.machine.pk, str(line.machine), line.interval, line.due, host))
    ]
    text = calendar_feed(_("Inspections, {shop}", shop=row.shop.name), entries, at)
    response = HttpResponse(text, content_type="text/calendar; charset=utf-8")
    response.headers["Content-Disposition"] = 'inline; filename="inspections.ics"'
    response.headers["Cache-Control"] = "private, no-store"
    return response
