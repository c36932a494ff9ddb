"""The blueprint of a bank: what a quiz asks, what the bank lacks for it, and how likely luck is."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from quizzes.banks.drafts.acts import set_blueprint
from quizzes.banks.editor.edit_flow import conflict_context, draft_at
from quizzes.banks.editor.first_scores import first_scores
from quizzes.banks.editor.forms import BlueprintForm
from quizzes.facts import BankText
from quizzes.guessing import chances
from quizzes.guessing.certainty import certainty
from quizzes.guessing.risk import risk_of
from quizzes.models import Bank
from quizzes.questions.assembly import lacking
from quizzes.questions.overlap import overlaps
from shopsafe.language.messages import _
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.refusals import Refused


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def blueprint(request: SignedInRequest, bank: int) -> HttpResponse:
    """Its numbers can be tried out before they are saved: the guess risk is that of what was sent."""
    stored_bank, draft = draft_at(request, bank)
    form = BlueprintForm(request.POST or None, draft=draft, revision=stored_bank.draft_revision, item=draft.bank)
    context: dict[str, Any] = {"bank": stored_bank, "form": form}
    text = draft.bank
    if request.method == "POST" and form.is_valid():
        text = form.change(text)
        context["trying"] = request.POST.get("step") == "look"
        if not context["trying"]:
            try:
                return _saved(request, stored_bank, form)
            except Refused as refusal:
                context |= conflict_context(stored_bank, form, refusal)
    status = 409 if "conflicts" in context else 422 if form.errors else 200
    return render(
        request,
        "quizzes/banks/editor/blueprint.html",
        context | _risk(text) | _certainty(stored_bank, text),
        status=status,
    )


def _saved(request: SignedInRequest, bank: Bank, form: BlueprintForm) -> HttpResponse:
    revision, numbers = form.cleaned_data["revision"], form.blueprint
    set_blueprint(by=request.user, bank=bank.pk, revision=revision, blueprint=numbers, must=form.must_codes)
    messages.success(request, _("Quiz settings saved. They take effect with the next edition."))
    return redirect("bank-blueprint", bank.pk)


def _certainty(bank: Bank, text: BankText) -> dict[str, Any]:
    sure = certainty(text.blueprint.ask, first_scores(bank))
    lengths = [(length, chances.in_words(length.careful_slips)) for length in sure.lengths]
    return {"sure": sure, "lengths": lengths, "knowing_slips": chances.in_words(sure.quiz.slips)}


def _risk(text: BankText) -> dict[str, Any]:
    risk = risk_of(text)
    words = {name: chances.in_words(getattr(risk, name)) for name in ("once", "within", "blind", "slips")}
    return {
        "text": text,
        "lacks": lacking(text),
        "overlaps": overlaps(text),
        "risk": risk,
        "knows": int(risk.knows * 100),
        **words,
    }
