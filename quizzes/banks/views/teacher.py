"""A teacher's banks: what is in them, what the check finds, publishing; and the students who wait for a release."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_http_methods, require_safe

from quizzes.access import banks_for
from quizzes.banks.draft_rows import draft_of
from quizzes.banks.drafts.queries import ahead_of_edition, draft_history, rule_sheets, unpublished_in
from quizzes.banks.editions import acts as bank_acts
from quizzes.banks.editions.approved import current_approval
from quizzes.banks.editions.forms import PublishForm
from quizzes.banks.editions.queries import bank_list
from quizzes.banks.rules.changes import says
from quizzes.banks.rules.checks import blocks, check
from quizzes.banks.rules.findings import ERROR, Finding
from quizzes.facts import BankText
from quizzes.models import Bank
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.refusals import Refused


@role("teacher")
@require_safe
def banks(request: SignedInRequest) -> HttpResponse:
    """Every subject of the school: its latest edition, and whether the draft has gone on since."""
    context = {"banks": bank_list(request.user), "ahead": ahead_of_edition(request.user)}
    return render(request, "quizzes/banks/banks.html", context)


@gzip_page
@role("teacher")
@require_safe
def bank(request: SignedInRequest, bank: int) -> HttpResponse:
    """One draft: rules with their questions, stored values, what the check finds, who changed what, editions."""
    stored_bank = access.one_of(banks_for(request.user), pk=bank)
    waiting = stored_bank.corrections.filter(decided_at=None).defer("content").first()
    draft_details = {"history": draft_history(stored_bank), "changes": unpublished_in(stored_bank), "waiting": waiting}
    return render(request, "quizzes/banks/bank.html", _draft_context(stored_bank) | draft_details)


def _draft_context(stored_bank: Bank) -> dict[str, object]:
    draft = draft_of(stored_bank)
    findings = check(draft.bank)
    editions = stored_bank.editions.select_related("published_by", "correction").defer("content", "correction__content")
    editions = editions.order_by("-number")
    return {
        "bank": stored_bank,
        "text": draft.bank,
        "rules": rule_sheets(draft),
        "findings": [(finding, *_mends(stored_bank, draft.bank, finding)) for finding in findings],
        "errors": sum(finding.level == ERROR for finding in findings),
        "blocked": blocks(findings),
        "editions": editions,
        "accepted": current_approval(editions[0]) if editions else None,
    }


def _mends(stored_bank: Bank, text: BankText, finding: Finding) -> tuple[str, str]:
    """(what is meant, the address of the form that fixes it) of a finding."""
    forms = (
        (text.question_by_code, "question-edit"),
        (text.rule_by_code, "rule-edit"),
        (text.value_by_code, "value-edit"),
    )
    for items, route in forms:
        if finding.where in items:
            return says(items[finding.where]) or finding.where, reverse(route, args=[stored_bank.pk, finding.where])
    if finding.check == "enough":
        return _("the quiz settings"), reverse("bank-blueprint", args=[stored_bank.pk])
    return _("the bank"), reverse("bank", args=[stored_bank.pk])


@role("teacher")
@require_safe
def bank_check(request: SignedInRequest, bank: int) -> HttpResponse:
    """What a careful colleague would find in the draft, each finding beside the form that fixes it."""
    stored_bank = access.one_of(banks_for(request.user), pk=bank)
    return render(request, "quizzes/banks/check.html", _draft_context(stored_bank))


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def publish(request: SignedInRequest, bank: int) -> HttpResponse:
    stored_bank = access.one_of(banks_for(request.user), pk=bank)
    form = PublishForm(request.POST or None, initial={"revision": stored_bank.draft_revision})
    if request.method == "POST" and form.is_valid():
        try:
            edition = bank_acts.publish_edition(by=request.user, bank=bank, **form.cleaned_data)
        except Refused as refusal:
            if refusal.status != 422:
                raise
            form.add_error("until" if refusal.code == "publish.until" else None, refusal.sentence)
        else:
            messages.success(request, _published(edition.number, counts=form.cleaned_data["accept"]))
            return redirect("bank", bank)
    context = _draft_context(stored_bank) | {"form": form, "changes": unpublished_in(stored_bank)}
    return render(request, "quizzes/banks/publish.html", context, status=422 if form.errors else 200)


def _published(number: int, *, counts: bool) -> str:
    if counts:
        return _("Edition {number} is out. Students get it from now on. Attempts count.", number=number)
    return _(
        "Edition {number} is out. Students get it from now on. It is practice only until a teacher accepts it.",
        number=number,
    )
