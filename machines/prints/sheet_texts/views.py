"""A shop words its own safety agreement and substitute sheet."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from machines.incidents.queries import settings_of
from machines.prints.sheet_texts.forms import WORDED
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.refused_on import refused_on, status_of
from shopsafe.school.sheet_words.acts import set_words
from shopsafe.school.sheet_words.queries import words_of


@role("teacher", "office")
@require_http_methods(["GET", "HEAD", "POST"])
def sheet_words(request: SignedInRequest, shop: int, sheet: str) -> HttpResponse:
    stored_shop = access.shop_for(request.user, shop)
    if sheet not in WORDED:
        raise Http404
    worded, stored = WORDED[sheet], words_of(stored_shop, sheet)
    form = worded.form(request.POST or None, stored=stored)
    if request.method == "POST" and form.is_valid():
        with refused_on(form):
            set_words(shop=stored_shop, sheet=sheet, by=request.user, **form.asked())
            messages.success(request, _("{sheet}: the words are kept.", sheet=worded.name))
            return redirect(reverse("prints", query={"shop": shop, "what": worded.offer}))
    if sheet == "substitute" and stored is None and (phone := settings_of(stored_shop.school).office_phone):
        form.initial["call"] = [f"{line}: {phone}" for line in form.initial["call"]]  # the office has set it already
    context = {"shop": stored_shop, "form": form, "worded": worded, "stored": stored}
    return render(request, "machines/prints/sheet_words.html", context, status=status_of(form))
