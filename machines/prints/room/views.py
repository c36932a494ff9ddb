"""The Print page, and the page behind the code on a printed sheet."""

import uuid
from collections.abc import Sequence
from datetime import datetime

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_GET, require_POST

from machines.prints import acts
from machines.prints.queries import print_of_code, prints_for, room_of, sets_for, shops_to_print, state_of
from machines.prints.room.forms import SheetForm
from machines.prints.room.offers import ALL, OFFERS, PrintOption, option_form
from machines.prints.sheets.substitute import substitute_sheet as loaded
from machines.prints.sheets.wall import ShopSnapshot, shop_snapshot
from shopsafe.language.messages import _
from shopsafe.logbook.queries import checkpoint_from
from shopsafe.logbook.rules.checkpoint_codes import short_code
from shopsafe.paper import handouts
from shopsafe.paper.codes import read_code
from shopsafe.paper.press.picture import picture
from shopsafe.paper.press.render import PrintFailed
from shopsafe.paper.rules.sheets import LETTER, PAPERS
from shopsafe.school import access
from shopsafe.school.clock import page_moment
from shopsafe.school.models import Shop
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.people.slip_sheet import names_this_computer_alone


@role("teacher", "office")
@require_GET
def prints(request: SignedInRequest) -> HttpResponse:
    """`?shop=` and `?what=` choose; the rest of the query is what the form holds."""
    shops = shops_to_print(request.user)
    if not shops:
        return render(request, "machines/prints/prints.html", {"shops": shops})
    shop = next((candidate for candidate in shops if str(candidate.pk) == request.GET.get("shop")), shops[0])
    offer = ALL.get(request.GET.get("what", ""), OFFERS["wall-card"])
    snapshot = shop_snapshot(shop, page_moment(request))
    sent = request.GET if offer.look and "paper" in request.GET else None
    return room(request, offer, option_form(offer, snapshot, request.user, sent), 422 if sent else 200, shops)


def room(
    request: SignedInRequest, offer: PrintOption, form: SheetForm, failed: int = 422, shops: Sequence[Shop] = ()
) -> HttpResponse:
    """The page, with the shops where they are loaded already. A form that can't be printed stays as it was filled in,
    under the status of what `failed`."""
    wrong = not form.is_valid()
    context = {
        "shops": shops or shops_to_print(request.user),
        "room": room_of(form.snapshot),
        "offers": ALL.values(),
        "sets": sets_for(request.user) if offer.is_set else (),
        "offer": offer,
        "form": form,
        "waits": wrong and failed == 200,
        "reads": "" if wrong else offer.distance(form),
        "new_key": uuid.uuid4(),
        "nowhere_else": names_this_computer_alone(),
        "query": form.data.urlencode() if hasattr(form.data, "urlencode") else "",
    }
    return render(request, "machines/prints/prints.html", context, status=failed if wrong else 200)


def _asked(request: SignedInRequest, shop: int, what: str, at: datetime) -> tuple[PrintOption, ShopSnapshot]:
    stored_shop = access.shop_for(request.user, shop)
    if what not in OFFERS:
        raise Http404
    return OFFERS[what], shop_snapshot(stored_shop, at)


@role("teacher", "office")
@require_POST
def print_make(request: SignedInRequest, shop: int, what: str) -> HttpResponse:
    """The PDF; or, for a browser without scripts, back to the room to look at it first."""
    offer, snapshot = _asked(request, shop, what, page_moment(request))
    form = offer.form(request.POST, snapshot=snapshot)
    if not (offer.make and form.is_valid()):
        return room(request, offer, form)
    if "look" in request.POST:
        chosen = {name: request.POST.getlist(name) for name in form.fields if name in request.POST}
        return redirect(reverse("prints", query={"shop": shop, "what": what, **chosen}))
    try:
        printed = offer.make(form, request.user)
    except PrintFailed as failed:
        form.add_error(None, failed.sentence)
        return room(request, offer, form, failed.status)
    return pdf(printed.pdf, f"{offer.name} {snapshot.shop.name}")


@role("teacher", "office")
@require_GET
def print_picture(request: SignedInRequest, shop: int, what: str) -> HttpResponse:
    """The first sheet as a picture; nothing is recorded."""
    offer, snapshot = _asked(request, shop, what, page_moment(request))
    form = option_form(offer, snapshot, request.user, request.GET if "paper" in request.GET else None)
    if not (offer.look and form.is_valid()):
        raise Http404
    return HttpResponse(picture(offer.look(form).pdf), content_type="image/png")


@role("teacher", "substitute", "office")
@require_GET
def substitute_sheet(request: SignedInRequest, section: int) -> HttpResponse:
    """The sheet of one class today, for a substitute to print. `?paper=a4` where that is what there is."""
    of = access.section_for(request.user, section)
    snapshot = shop_snapshot(of.shop, page_moment(request))
    paper = PAPERS.get(request.GET.get("paper", ""), LETTER)
    return pdf(
        handouts.substitute_sheet(loaded(snapshot, of), paper).pdf, _("Substitute sheet {section}", section=of.name)
    )


def pdf(body: bytes, name: str) -> HttpResponse:
    filename = f"{name.replace(' ', '-')}.pdf"
    return HttpResponse(
        body,
        content_type="application/pdf",
        headers={"Content-Disposition": content_disposition_header(as_attachment=False, filename=filename) or ""},
    )


@role("teacher", "office")
@require_POST
def print_take_down(request: SignedInRequest, shop: int, code: str) -> HttpResponse:
    row = access.one_of(prints_for(request.user), shop=shop, code=code)
    acts.take_down(printed=row, by=request.user)
    if row.sheet == row.SheetKind.POCKET_CARD:
        messages.success(request, _("{print} is back.", print=row))
    else:
        messages.success(request, _("{print} is off the wall.", print=row))
    return redirect("prints")


@login_not_required
@require_GET
def print_check(request: HttpRequest, code: str) -> HttpResponse:
    """What a scanned code says: current, out of date, or replaced. No name, so that anyone may scan. Behind a chart's
    code stands the checkpoint of the logbook from its printing."""
    row = print_of_code(read_code(code))
    if row is None:
        raise Http404
    state = state_of(row, page_moment(request)) if row.current else None
    checkpoint = checkpoint_from(row.printed_at) if row.sheet == row.SheetKind.WALL_CHART else None
    code_of_checkpoint = short_code(checkpoint.size, bytes(checkpoint.root).hex()) if checkpoint else ""
    context = {"print": row, "state": state, "checkpoint": checkpoint, "checkpoint_code": code_of_checkpoint}
    return render(request, "machines/prints/print_check.html", context)
