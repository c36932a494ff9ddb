"""The floor: one page for the tablet, one for the projector. A change shows on both within two seconds."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_safe

from machines.floor.facts import TileState
from machines.floor.queries import left_undone
from machines.floor.showing.giving import giving
from machines.floor.showing.hour_card import HourCard
from machines.floor.showing.page import FloorPage, floor_card, floor_page, version_of
from machines.floor.supervision import granted_today
from machines.models import Machine
from shopsafe.school.access import one_of, sections_for, shops_for
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import page_moment
from shopsafe.school.models import Shop
from shopsafe.school.naming.rules.ordering import in_order
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.refusals import Refused
from shopsafe.school.templatetags.drawing import clock_seconds

STAFF = ("teacher", "substitute", "office")


def shop_with_floor(request: SignedInRequest, pk: int) -> Shop:
    """A shop in the reader's sight, with its settings and school. One query."""
    return one_of(shops_for(request.user).select_related("floor", "school"), pk=pk)


@role(*STAFF)
@require_safe
def floors(request: SignedInRequest) -> HttpResponse:
    """The shops in sight; the floor itself where there is one."""
    shops = in_order(shops_for(request.user))
    if len(shops) == 1:
        return redirect("floor", shops[0].pk)
    return render(request, "machines/floor/floors.html", {"shops": shops})


@gzip_page  # sixteen tiles with their forms; asked for again and again
@role(*STAFF)
@require_safe
def floor(request: SignedInRequest, shop: int) -> HttpResponse:
    """The tiles; with ?give= a machine about to be given; the tiles alone when the page asks for them by itself, and
    nothing where they still say the same."""
    return show_floor(request, shop_with_floor(request, shop))


@role(*STAFF)
@require_safe
def floor_wall(request: SignedInRequest, shop: int) -> HttpResponse:
    """The same for the projector: nothing to press, large enough to read from across the room."""
    return show_floor(request, shop_with_floor(request, shop), template="machines/floor/wall.html")


def show_floor(
    request: SignedInRequest, shop: Shop, refusal: Refused | None = None, template: str = "machines/floor/floor.html"
) -> HttpResponse:
    """The page, with what an act refused above its tiles."""
    card, part = floor_card(shop, request.user), request.GET.get("part") == "room"
    if part and request.GET.get("seen") == version_of(card, request.user):
        return heard(HttpResponse(status=204), card, shop)
    page = floor_page(shop, card, request.user)
    give = request.GET.get("give", "")
    context: dict[str, Any] = {
        "give": int(give) if give.isdecimal() else 0,
        "page": page,
        "card": card,
        "zone": shop.school.time_zone,
        "refusal": refusal,
    }
    if part:
        return heard(render(request, f"{template}#room", context), card, shop)
    if refusal is None and context["give"]:
        context["giving"] = _giving(request, page, context["give"])
    if card.now is None or card.ran_out:
        context |= {"sections": _classes(request, shop), "undone": left_undone(shop.pk)}
    return render(request, template, context, status=refusal.status if refusal else 200)


def heard(response: HttpResponse, card: HourCard, shop: Shop) -> HttpResponse:
    """Say by which clock this is news: a page that hears nothing of it says keep off."""
    response.headers["Shopsafe-Clock"] = clock_seconds(card.clock, shop.school.time_zone)
    return response


def _giving(request: SignedInRequest, page: FloorPage, pk: int) -> Any:
    """The names to choose from, for a machine of this floor that is free."""
    free = (tile.machine for tile in page.tiles if tile.machine.pk == pk and tile.tile.state == TileState.FREE)
    machine: Machine | None = next(free, None)
    if machine is None or not page.card.may_run or not page.card.state.is_open:
        return None
    return giving(page, machine, page_moment(request))


def _classes(request: SignedInRequest, shop: Shop) -> list[Any]:
    """The classes for which the reader may open the shop now: those whose term runs."""
    day = local_day(page_moment(request), shop.school.time_zone)
    running = sections_for(request.user).filter(shop=shop, term__first_day__lte=day, term__last_day__gte=day)
    if request.user.is_substitute:
        running = running.filter(pk__in=granted_today(request.user, page_moment(request)))
    return in_order(running) if not request.user.is_office else []
