"""How a shop keeps its floor, and its tiles in the order of the room."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from machines.floor.acts import settings as acts
from machines.floor.forms import FloorForm
from machines.floor.queries import closing_lines, settings_of
from machines.floor.rows.statements import machines_now
from machines.floor.showing.page import in_room_order
from machines.floor.views.floor import shop_with_floor
from shopsafe.language.messages import _
from shopsafe.school.access import may
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import page_moment
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.refused_on import refused_on, status_of


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def floor_settings(request: SignedInRequest, shop: int) -> HttpResponse:
    stored = shop_with_floor(request, shop)
    settings = settings_of(stored)
    form = FloorForm(request.POST or None, settings=settings, lines=closing_lines(settings))
    if request.method == "POST" and form.is_valid():
        with refused_on(form, {"floor.lines": "lines", "floor.minutes": "presence_minutes", "name.character": "lines"}):
            acts.set_floor(shop=stored, wishes=form.wishes, by=request.user, tap=form.cleaned_data["tap"])
            messages.success(request, _("Saved."))
            return redirect("floor", stored.pk)
    return render(request, "machines/floor/settings.html", {"shop": stored, "form": form}, status=status_of(form))


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def floor_plan(request: SignedInRequest, shop: int) -> HttpResponse:
    """The tiles in their order: dragged, or moved by the buttons of each tile. `order` is sent by the script, `move`
    ("12 earlier") by a button."""
    stored = shop_with_floor(request, shop)
    if not may(request.user, "set requirements", shop=stored):
        raise Http404
    at = page_moment(request)
    rows = in_room_order(machines_now(stored.pk, at, local_day(at, stored.school.time_zone)), settings_of(stored))
    machines = [row.machine for row in rows]
    if request.method == "POST":
        by_pk = {str(machine.pk): machine for machine in machines}
        keys = moved(list(by_pk), request.POST.get("order", ""), request.POST.get("move", ""))
        acts.order_tiles(shop=stored, machines=[by_pk[key] for key in keys], by=request.user)
        if request.headers.get("Accept") == "application/json":
            return HttpResponse(status=204)
        return redirect("floor-plan", stored.pk)
    return render(request, "machines/floor/plan.html", {"shop": stored, "machines": machines})


def moved(keys: list[str], order: str, move: str) -> list[str]:
    """The keys in the order sent, or with one moved by a place. What is not known here is left out, nothing is lost."""
    if order:
        sent = list(dict.fromkeys(key for key in order.split(",") if key in keys))
        return [*sent, *(key for key in keys if key not in sent)]
    key, _, way = move.partition(" ")
    if key in keys:
        place = keys.index(key)
        other = place - 1 if way == "earlier" else place + 1
        if 0 <= other < len(keys):
            keys[place], keys[other] = keys[other], keys[place]
    return keys
