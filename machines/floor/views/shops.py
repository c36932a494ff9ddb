"""A shop is opened, presence confirmed, all runs ended and allowed again: one press each, then the floor again."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from machines.floor.acts import shops as acts
from machines.floor.views.floor import shop_with_floor, show_floor
from shopsafe.language.messages import _
from shopsafe.school.access import section_for
from shopsafe.school.models import Shop
from shopsafe.school.pages.form_parts import TapForm
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.refusals import Refused


def out_of_date() -> Refused:
    return Refused("tap.missing", _("This page is out of date. Press the button again."), 422)


def press(
    request: SignedInRequest, of: Shop, deed: Callable[..., Any], message: str = "", /, **asked: Any
) -> HttpResponse:
    """Do what the button asks and show the floor again; or the floor with the sentence of a refusal."""
    form = TapForm(request.POST)
    try:
        if not form.is_valid():
            raise out_of_date()
        deed(by=request.user, tap=form.cleaned_data["tap"], **asked)
    except Refused as refusal:
        if refusal.status == 403:
            raise
        return show_floor(request, of, refusal)
    if message:
        messages.success(request, message)
    return redirect("floor", of.pk)


@role("teacher", "substitute")
@require_POST
def shop_open(request: SignedInRequest, shop: int) -> HttpResponse:
    """Open the shop for the class that is sent, or for none."""
    stored, pk = shop_with_floor(request, shop), request.POST.get("section", "")
    section = section_for(request.user, int(pk)) if pk.isdecimal() else None
    message = _("{shop} is open.", shop=stored.name)
    if section:
        message = _("{shop} is open for {section}.", shop=stored.name, section=section.name)
    return press(request, stored, acts.open_shop, message, shop=stored, section=section)


@role("teacher", "substitute")
@require_POST
def shop_here(request: SignedInRequest, shop: int) -> HttpResponse:
    """The supervisor is here; with `take_over`, the reader supervises from now on."""
    stored = shop_with_floor(request, shop)
    if request.POST.get("take_over"):
        return press(request, stored, acts.take_over, _("You supervise the shop now."), shop=stored)
    return press(request, stored, acts.confirm_presence, shop=stored)


@role("teacher", "substitute")
@require_POST
def shop_end_all(request: SignedInRequest, shop: int) -> HttpResponse:
    stored = shop_with_floor(request, shop)
    message = _("All runs are ended on the list. The program cuts no power: look at each machine.")
    return press(request, stored, acts.end_all_runs, message, shop=stored)


@role("teacher", "substitute")
@require_POST
def shop_allow(request: SignedInRequest, shop: int) -> HttpResponse:
    stored = shop_with_floor(request, shop)
    return press(request, stored, acts.allow_runs, _("Machines may be given again."), shop=stored)
