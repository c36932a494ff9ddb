"""What is due, one inspection, the lists of a machine type, the service history."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from machines.clearance.records import machine_for
from machines.reports.facts import Interval
from machines.reports.inspections.acts.inspections import inspect as inspect_machine
from machines.reports.inspections.acts.lists import set_inspection_list, start_inspections
from machines.reports.inspections.acts.service import ServiceDone, record_service
from machines.reports.inspections.calendar_address import calendar_key
from machines.reports.inspections.forms import InspectionForm, ListForm, ServiceForm
from machines.reports.inspections.lists import lists_of_kind
from machines.reports.inspections.queries import (
    calendars_for,
    history_of,
    inspections_of,
    kinds_for,
    shop_machines,
    starts_in,
)
from shopsafe.language.messages import _, counted
from shopsafe.school import access
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import page_moment
from shopsafe.school.naming.rules.ordering import in_order
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.refused_on import refused_on, status_of

METHODS = ["GET", "HEAD", "POST"]


@role("teacher", "office")
@require_safe
def inspections(request: SignedInRequest) -> HttpResponse:
    """Every list of my shops' machines with its last and its next day, and the calendar to subscribe to."""
    at = page_moment(request)
    rows = inspections_of(shop_machines(request.user, at), request.user.school, at)
    calendars = {row.shop_id: row for row in calendars_for(request.user)}
    shops = []
    for shop in in_order(access.shops_for(request.user)):
        calendar = calendars.get(shop.pk)
        own = [row for row in rows if row.machine.shop_id == shop.pk]
        waits = [row for row in own if row.waits]
        key = calendar_key(calendar) if calendar else ""
        shops.append((shop, waits, [row for row in own if not row.waits], starts_in(shop, at), calendar, key))
    return render(request, "machines/reports/inspections/inspections.html", {"shops": shops})


@role("teacher")
@require_POST
def inspections_start(request: SignedInRequest, shop: int) -> HttpResponse:
    stored_shop = access.shop_for(request.user, shop)
    started = start_inspections(shop=stored_shop, by=request.user)
    sentence = counted(
        "{count} machine type has its inspection list now.",
        "{count} machine types have their inspection lists now.",
        count=len(started),
    )
    messages.success(request, sentence)
    return redirect("inspections")


@role("teacher")
@require_http_methods(METHODS)
def inspect(request: SignedInRequest, machine: int, interval: str) -> HttpResponse:
    stored_machine, at = machine_for(request.user, machine), page_moment(request)
    lists = lists_of_kind(stored_machine.kind, at)
    part = next((one for one in Interval if one == interval), None)
    if part is None or not lists.lines(part) or stored_machine.retired_at is not None:
        raise Http404
    form = InspectionForm(request.POST or None, lists=lists, interval=part)
    if request.method == "POST" and form.is_valid():
        cleaned = form.cleaned_data
        sent = {"answers": form.answers(), **{name: cleaned[name] for name in ("seen", "words", "tap")}}
        with refused_on(form):
            row = inspect_machine(machine=stored_machine, interval=part, by=request.user, **sent)
            if row.complete:
                messages.success(request, _("{machine} is inspected: no line is answered no.", machine=stored_machine))
                return redirect("inspections")
            messages.warning(request, _("Keep off {machine}: a line is answered no.", machine=stored_machine.spoken))
            return redirect("machine", stored_machine.pk)
    context = {"machine": stored_machine, "form": form, "interval": part}
    return render(request, "machines/reports/inspections/inspect.html", context, status=status_of(form))


@role("teacher")
@require_http_methods(METHODS)
def inspection_list(request: SignedInRequest, kind: int) -> HttpResponse:
    """The lists of a machine type, to change; saving them for the first time begins the inspections."""
    stored_kind = access.one_of(kinds_for(request.user), pk=kind)
    lists = lists_of_kind(stored_kind, page_moment(request))
    form = ListForm(request.POST or None, initial=ListForm.start(lists))
    if request.method == "POST" and form.is_valid():
        with refused_on(form):
            set_inspection_list(kind=stored_kind, lines=form.lines(), seen=form.cleaned_data["seen"], by=request.user)
            messages.success(
                request, _("The inspection list of {machine_type} is saved.", machine_type=stored_kind.spoken)
            )
            return redirect("inspections")
    context = {"kind": stored_kind, "form": form, "lists": lists}
    return render(request, "machines/reports/inspections/inspection_list.html", context, status=status_of(form))


@role("teacher", "office")
@require_safe
def machine_history(request: SignedInRequest, machine: int) -> HttpResponse:
    stored_machine, at = machine_for(request.user, machine), page_moment(request)
    day = local_day(at, stored_machine.school.time_zone)
    form = ServiceForm(initial={"day": day, "done_by": request.user.name})
    return _history(request, stored_machine, form)


@role("teacher")
@require_POST
def machine_service(request: SignedInRequest, machine: int) -> HttpResponse:
    stored_machine = machine_for(request.user, machine)
    form = ServiceForm(request.POST)
    if form.is_valid():
        with refused_on(form, at={"service.not-yet": "day"}):
            cleaned = form.cleaned_data
            done = ServiceDone(cleaned["day"], cleaned["did"], cleaned["done_by"], cleaned["parts"])
            record_service(machine=stored_machine, done=done, by=request.user, tap=cleaned["tap"])
            messages.success(request, _("Recorded."))
            return redirect("machine-history", stored_machine.pk)
    return _history(request, stored_machine, form)


def _history(request: SignedInRequest, machine: Any, form: ServiceForm) -> HttpResponse:
    history = history_of(machine, page_moment(request))
    context = {"machine": machine, "history": history, "form": form}
    return render(request, "machines/reports/inspections/history.html", context, status=status_of(form))
