"""A teacher prints an edition for a reviewer, and records or withdraws who reviewed it."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from quizzes.access import reviews_for
from quizzes.banks.editions.acts import record_review, withdraw_review
from quizzes.banks.editions.forms import ReviewForm, WithdrawReviewForm
from quizzes.banks.editions.queries import latest_editions
from quizzes.banks.reviews.queries import sheet_of
from quizzes.banks.reviews.sheet import reviewers_pdf
from quizzes.models import Edition
from shopsafe.language.messages import _
from shopsafe.paper.rules.sheets import A4, LETTER
from shopsafe.school import access
from shopsafe.school.clock import page_moment
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.refused_on import refused_on, status_of


@role("teacher")
@require_safe
def reviewers_print(request: SignedInRequest, bank: int) -> HttpResponse:
    """The edition that is out, whole, as one PDF: its keys are in it, so it is for staff alone."""
    edition = _edition(request, bank)
    paper = A4 if request.GET.get("paper") == A4.code else LETTER
    body = reviewers_pdf(sheet_of(edition, page_moment(request)), paper)
    name = f"Review-{edition.bank.code}-edition-{edition.number}.pdf"
    return HttpResponse(
        body, content_type="application/pdf", headers={"Content-Disposition": f'inline; filename="{name}"'}
    )


@role("teacher")
@require_POST
def review(request: SignedInRequest, bank: int) -> HttpResponse:
    """Who reviewed the edition that is out, from the signed print."""
    edition = _edition(request, bank)
    form = ReviewForm(request.POST)
    if form.is_valid():
        with refused_on(form, {"review.day": "reviewed_on"}):
            recorded = record_review(by=request.user, bank=bank, **form.cleaned_data)
            messages.success(request, _("The review by {reviewer} is recorded.", reviewer=recorded.name))
            return redirect(_reviews(bank))
    context = {
        "edition": edition,
        "form": form,
        "reviewing": form,
        "reviews": edition.reviews.select_related("by", "withdrawn_by"),
    }
    return render(request, "quizzes/banks/reviews/review.html", context, status=status_of(form))


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def review_withdraw(request: SignedInRequest, review: int) -> HttpResponse:
    stored_review = access.one_of(reviews_for(request.user), pk=review)
    form = WithdrawReviewForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        with refused_on(form):
            withdraw_review(by=request.user, review=review, reason=form.cleaned_data["reason"])
            messages.success(request, _("The review by {reviewer} is withdrawn.", reviewer=stored_review.name))
            return redirect(_reviews(stored_review.edition.bank_id))
    context = {"review": stored_review, "edition": stored_review.edition, "form": form}
    return render(request, "quizzes/banks/reviews/review_withdraw.html", context, status=status_of(form))


def _edition(request: SignedInRequest, bank: int) -> Edition:
    return access.one_of(latest_editions(request.user, page_moment(request)), bank=bank)


def _reviews(bank: int) -> str:
    return f"{reverse('bank-accept', args=[bank])}#reviews"
