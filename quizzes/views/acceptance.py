"""A teacher of the shop reads the rules of a bank and accepts them; until then the bank is practice only."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from quizzes import queries
from quizzes.accepted import standing_acceptance
from quizzes.acts import banks as acts
from quizzes.editions import text_of
from quizzes.forms import AcceptForm, TakeBackForm
from quizzes.models import Edition
from shopsafe.school import access
from shopsafe.school.guards import Signed, role
from shopsafe.school.onward import onward


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def accept(request: Signed, bank: int) -> HttpResponse:
    """Every rule of the edition that is out, with its reason, source and numbers; and the statement to agree to."""
    edition = _edition(request, bank)
    form = AcceptForm(request.POST or None, initial={"edition": edition.number})
    if request.method == "POST" and form.is_valid():
        number = form.cleaned_data["edition"]
        acts.accept_bank(by=request.user, bank=bank, edition=number, at=timezone.now())
        messages.success(request, f"{edition.bank.subject} is accepted. Attempts count from now on.")
        return redirect(onward(request, "banks"))
    return _page(request, edition, form=form)


@role("teacher")
@require_POST
def take_back(request: Signed, bank: int) -> HttpResponse:
    edition = _edition(request, bank)
    form = TakeBackForm(request.POST)
    if not form.is_valid():
        return _page(request, edition, form=form, back=form)
    acts.take_back_acceptance(by=request.user, bank=bank, reason=form.cleaned_data["reason"], at=timezone.now())
    messages.success(request, f"{edition.bank.subject} is practice only from now on.")
    return redirect("bank-accept", bank)


def _edition(request: Signed, bank: int) -> Edition:
    return access.one_of(queries.latest_editions(request.user, timezone.now()), bank=bank)


def _page(
    request: Signed, edition: Edition, *, form: AcceptForm | TakeBackForm, back: TakeBackForm | None = None
) -> HttpResponse:
    text = text_of(edition)
    values = text.bank.values_of_rule
    context = {
        "edition": edition,
        "text": text.bank,
        "rules": [(one, text.pictures.get(one.picture), values.get(one.code, ())) for one in text.bank.live_rules],
        "acceptance": standing_acceptance(edition),
        "form": form,
        "back": back or TakeBackForm(),
    }
    return render(request, "quizzes/teacher/accept.html", context, status=422 if form.errors else 200)
