"""A corrected starter bank beside the school's own, rule by rule: a teacher takes what fits, or declines it."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from quizzes.banks.corrections import acts
from quizzes.banks.corrections.compared import compared
from quizzes.banks.corrections.forms import DeclineForm, TakeCorrectionsForm
from quizzes.banks.corrections.queries import CorrectionTexts, corrections_for, texts_of
from quizzes.models import StarterCorrection
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.refused_on import refused_on, status_of

FIELD = {"publish.until": "until", "publish.earlier": "earlier", "correction.nothing": "rules"}


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def bank_corrections(request: SignedInRequest, correction: int) -> HttpResponse:
    """What is corrected, by rule, beside what the school has; ticked are those that replace nothing of its own."""
    offer = access.one_of(corrections_for(request.user), pk=correction)
    if offer.decided_at is not None:
        return redirect("bank", offer.bank_id)
    texts = texts_of(offer)
    form = TakeCorrectionsForm(
        request.POST or None, corrections=texts.corrections, initial={"edition": texts.edition.number}
    )
    if request.method == "POST" and form.is_valid():
        with refused_on(form, FIELD):
            return _take(request, offer, form.cleaned_data)
    return _page(request, offer, texts, form, DeclineForm())


def _take(request: SignedInRequest, offer: StarterCorrection, data: dict[str, Any]) -> HttpResponse:
    edition = acts.take_corrections(by=request.user, correction=offer.pk, **data)
    if data["accept"]:
        message = _("Edition {number} is out with the corrections. Attempts count.", number=edition.number)
    else:
        message = _(
            "Edition {number} is out with the corrections. It is practice only until a teacher approves it.",
            number=edition.number,
        )
    messages.success(request, message)
    return redirect("bank", offer.bank_id)


@role("teacher")
@require_POST
def bank_corrections_decline(request: SignedInRequest, correction: int) -> HttpResponse:
    offer = access.one_of(corrections_for(request.user), pk=correction)
    form = DeclineForm(request.POST)
    if not form.is_valid():
        texts = texts_of(offer)
        taking = TakeCorrectionsForm(corrections=texts.corrections, initial={"edition": texts.edition.number})
        return _page(request, offer, texts, taking, form)
    acts.decline_corrections(by=request.user, correction=correction, reason=form.cleaned_data["reason"])
    messages.success(request, _("{bank} stays as it is. The logbook says why.", bank=offer.bank.subject))
    return redirect("bank", offer.bank_id)


def _page(
    request: SignedInRequest,
    offer: StarterCorrection,
    texts: CorrectionTexts,
    form: TakeCorrectionsForm,
    decline: DeclineForm,
) -> HttpResponse:
    boxes = list(form["rules"])
    rows = [
        (box, correction, list(compared(correction, texts.shop.bank, texts.new.bank)))
        for box, correction in zip(boxes, texts.corrections, strict=True)
    ]
    context = {"offer": offer, "edition": texts.edition, "rows": rows, "form": form, "decline": decline}
    status = max(status_of(form), status_of(decline))
    return render(request, "quizzes/banks/corrections.html", context, status=status)
