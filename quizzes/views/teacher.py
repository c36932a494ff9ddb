"""A teacher's banks: what stands in them, what the check finds, publishing; and the students who wait for a release."""

from datetime import datetime
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from quizzes import bank_queries, queries
from quizzes.accepted import standing_acceptance
from quizzes.acts import attempts, relearning
from quizzes.acts import banks as bank_acts
from quizzes.bank_checks import ERROR, Finding, blocks, check
from quizzes.changes import says
from quizzes.drafts import draft_of
from quizzes.facts import BankText
from quizzes.forms import PublishForm, VoidForm
from quizzes.models import Bank
from shopsafe.school import access
from shopsafe.school.guards import Signed, role
from shopsafe.school.refusals import Refused
from shopsafe.school.telling_apart import full_names_of

# ---- banks ----------------------------------------------------------------------------------------------------------


@role("teacher")
@require_safe
def banks(request: Signed) -> HttpResponse:
    """Every subject of the school: its latest edition, and whether the draft has gone on since."""
    context = {"banks": queries.bank_list(request.user), "ahead": bank_queries.ahead_of_edition(request.user)}
    return render(request, "quizzes/teacher/banks.html", context)


@role("teacher")
@require_safe
def bank(request: Signed, bank: int) -> HttpResponse:
    """One draft: rules with their questions, stored values, what the check finds, who changed what, editions."""
    one = access.one_of(queries.banks_for(request.user), pk=bank)
    more = {"history": bank_queries.draft_history(one), "changes": bank_queries.unpublished_in(one)}
    return render(request, "quizzes/teacher/bank.html", _draft_context(one) | more)


def _draft_context(one: Bank) -> dict[str, object]:
    draft = draft_of(one)
    findings = check(draft.bank)
    editions = one.editions.select_related("published_by").defer("content").order_by("-number")
    return {
        "bank": one,
        "text": draft.bank,
        "rules": bank_queries.rule_sheets(draft),
        "findings": [(finding, *_mends(one, draft.bank, finding)) for finding in findings],
        "errors": sum(finding.level == ERROR for finding in findings),
        "blocked": blocks(findings),
        "editions": editions,
        "accepted": standing_acceptance(editions[0]) if editions else None,
    }


def _mends(one: Bank, text: BankText, finding: Finding) -> tuple[str, str]:
    """(what is meant, the address of the form that mends it) of a finding."""
    forms = (
        (text.question_by_code, "question-edit"),
        (text.rule_by_code, "rule-edit"),
        (text.value_by_code, "value-edit"),
    )
    for items, route in forms:
        if finding.where in items:
            return says(items[finding.where]) or finding.where, reverse(route, args=[one.pk, finding.where])
    if finding.check == "enough":
        return "the blueprint", reverse("bank-blueprint", args=[one.pk])
    return "the bank", reverse("bank", args=[one.pk])


@role("teacher")
@require_safe
def bank_check(request: Signed, bank: int) -> HttpResponse:
    """What a careful colleague would find in the draft, each finding beside the form that mends it."""
    one = access.one_of(queries.banks_for(request.user), pk=bank)
    return render(request, "quizzes/teacher/check.html", _draft_context(one))


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def publish(request: Signed, bank: int) -> HttpResponse:
    one = access.one_of(queries.banks_for(request.user), pk=bank)
    form = PublishForm(request.POST or None, initial={"revision": one.draft_revision})
    if request.method == "POST" and form.is_valid():
        try:
            edition = bank_acts.publish_edition(by=request.user, bank=bank, at=timezone.now(), **form.cleaned_data)
        except Refused as refusal:
            if refusal.status != 422:
                raise
            form.add_error("until" if refusal.code == "publish.until" else None, refusal.sentence)
        else:
            counts = (
                "Attempts count." if form.cleaned_data["accept"] else "It is practice only until a teacher accepts it."
            )
            messages.success(request, f"Edition {edition.number} is out. Students get it from now on. {counts}")
            return redirect("bank", bank)
    context = _draft_context(one) | {"form": form, "changes": bank_queries.unpublished_in(one)}
    return render(request, "quizzes/teacher/publish.html", context, status=422 if form.errors else 200)


# ---- students -------------------------------------------------------------------------------------------------------


@role("teacher")
@require_safe
def waiting(request: Signed) -> HttpResponse:
    """The students who can't go on without their teacher, with the rules they missed."""
    return _waiting_page(request, timezone.now())


def _waiting_page(request: Signed, at: datetime) -> HttpResponse:
    waiting = queries.waiting_for(request.user, at)
    named = full_names_of(access.students_for(request.user)) if waiting else {}
    context = {"waiting": waiting, "named": named}
    return render(request, "quizzes/teacher/waiting.html", context)


@role("teacher")
@require_POST
def release(request: Signed, attempt: UUID) -> HttpResponse:
    released = relearning.release_student(by=request.user, attempt=attempt, at=timezone.now())
    messages.success(request, f"{released.attempt.student.short_name} may try again.")
    return redirect("students-waiting")


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def void(request: Signed, attempt: UUID) -> HttpResponse:
    """An attempt as it was taken, and the form to void it."""
    one = queries.attempt_for(request.user, attempt)
    form = VoidForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        attempts.void_attempt(by=request.user, attempt=attempt, at=timezone.now(), **form.cleaned_data)
        messages.success(request, "The attempt is voided. Nothing was deleted.")
        return redirect("attempt-void", attempt)
    context = {"attempt": one, "sheets": queries.sheets(one), "form": form}
    return render(request, "quizzes/teacher/attempt.html", context, status=422 if form.errors else 200)
