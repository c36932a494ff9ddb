"""A person reports a hazard in two steps: what it is, then words and a photo. From the menu the place comes first."""

from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from machines.clearance.out_of_use import OutOfUse, out_of_use
from machines.clearance.records import in_service_life, machine_for, machines_for
from machines.models import Machine
from machines.reports.facts import HazardKind, ReportEffect
from machines.reports.hazards import acts
from machines.reports.hazards.forms import ReportForm
from machines.reports.rules.hazards import choices, effect_of
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.clock import page_moment
from shopsafe.school.models import Shop
from shopsafe.school.naming.rules.ordering import in_order
from shopsafe.school.pages.after_sign_in import onward
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.refused_on import refused_on, status_of

ALL = ("student", "teacher", "substitute", "office")
METHODS = ["GET", "HEAD", "POST"]


@role(*ALL)
@require_safe
def report_place(request: SignedInRequest) -> HttpResponse:
    """Where is it? A row for each machine of my shops, and one for elsewhere in each; with ?keep= the machines alone,
    for a teacher who keeps one off."""
    at = page_moment(request)
    machines = list(in_service_life(machines_for(request.user), at))
    off = out_of_use([machine.pk for machine in machines], at)
    in_shop: dict[int, list[tuple[Machine, OutOfUse | None]]] = {}
    for machine in machines:
        in_shop.setdefault(machine.shop_id, []).append((machine, off.get(machine.pk)))
    shops = [(shop, in_shop.get(shop.pk, [])) for shop in in_order(access.shops_for(request.user))]
    context = {"shops": shops, "keep": request.user.is_teacher and "keep" in request.GET}
    return render(request, "machines/reports/hazards/place.html", context)


@role(*ALL)
@require_http_methods(METHODS)
def report_machine(request: SignedInRequest, machine: int) -> HttpResponse:
    stored_machine = machine_for(request.user, machine)
    if stored_machine.retired_at is not None:
        raise Http404
    return _report(request, stored_machine.shop, stored_machine)


@role(*ALL)
@require_http_methods(METHODS)
def report_shop(request: SignedInRequest, shop: int) -> HttpResponse:
    return _report(request, access.shop_for(request.user, shop), None)


def _report(request: SignedInRequest, shop: Shop, machine: Machine | None) -> HttpResponse:
    """Step 1 without a hazard in the address; step 2 with one."""
    offered = choices(names_machine=machine is not None)
    keep = request.user.is_teacher and machine is not None and "keep" in request.GET
    seen = HazardKind.OTHER.value if keep else request.GET.get("seen", "")
    context: dict[str, Any] = {"shop": shop, "machine": machine, "place": machine.spoken if machine else shop.name}
    if seen not in offered:
        return render(request, "machines/reports/hazards/what.html", context | {"offered": list(offered.items())})
    form = ReportForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        sighting = acts.Sighting(seen, form.cleaned_data["words"], form.photo_bytes, keep_off=keep)
        with refused_on(form, at={"report.photo-unreadable": "photo"}):
            tap = form.cleaned_data["tap"]
            row = acts.report_hazard(shop=shop, machine=machine, seen=sighting, by=request.user, tap=tap)
            return redirect(onward(request, "report", row.pk))
    effect = effect_of(HazardKind(seen), names_machine=machine is not None, keep_off=keep)
    context |= {"form": form, "keep": keep, "keeps_off": effect is ReportEffect.KEEP_OFF}
    context["seen"] = _("keep it off") if keep else offered[HazardKind(seen)]
    return render(request, "machines/reports/hazards/more.html", context, status=status_of(form))
