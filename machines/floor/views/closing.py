"""The closing list: what still runs, then the round line by line."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from machines.floor.acts import closing as acts
from machines.floor.forms import ClosingForm
from machines.floor.queries import closing_lines, open_runs, settings_of
from machines.floor.showing.page import floor_card
from machines.floor.views.floor import shop_with_floor
from shopsafe.language.messages import _
from shopsafe.school.clock import page_moment
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.refused_on import refused_on, status_of
from shopsafe.school.refusals import Refused


@role("teacher", "substitute")
@require_http_methods(["GET", "HEAD", "POST"])
def shop_closing(request: SignedInRequest, shop: int) -> HttpResponse:
    stored = shop_with_floor(request, shop)
    card, lines = floor_card(stored, request.user), closing_lines(settings_of(stored))
    if card.now is None:
        if request.method == "POST":
            raise Refused("closing.closed", _("{shop} is closed already.", shop=stored.name))
        return redirect("floor", stored.pk)
    people = acts.people_of_round(card.now.opening, request.user, page_moment(request))
    choices = [(key, person.name) for key, person in people.items()]
    form = ClosingForm(request.POST or None, lines=lines, people=choices)
    if request.method == "POST" and form.is_valid():
        with refused_on(form):
            tap = form.cleaned_data["tap"]
            acts.close_shop(shop=stored, answers=form.answers, lines=form.shown_lines, by=request.user, tap=tap)
            messages.success(request, _("{shop} is closed. The list is in the logbook.", shop=stored.name))
            return redirect("floor", stored.pk)
    context = {
        "shop": stored, "card": card, "form": form, "runs": list(open_runs(stored.pk)),
        "zone": stored.school.time_zone,
    }  # fmt: skip
    return render(request, "machines/floor/hours/closing.html", context, status=status_of(form))
