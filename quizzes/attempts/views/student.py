"""A student's quizzes: start, one question a page, check, hand in, the result, the cards of missed rules."""

from urllib.parse import quote
from uuid import UUID

from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from quizzes.access import attempt_for
from quizzes.accommodations.reading import reading_context
from quizzes.attempts import acts as attempts_acts
from quizzes.attempts import queries as attempts_queries
from quizzes.attempts.acts import ON_PAPER, save_answer, start_attempt
from quizzes.banks.editions.queries import latest_editions
from quizzes.banks.editions.texts import text_of
from quizzes.models import Answer, Attempt
from quizzes.questions.answering import PRESS
from quizzes.questions.assembly import refresher_asks
from quizzes.relearning import queries as relearning_queries
from quizzes.relearning.queries import bench, step_of
from quizzes.relearning.rules.next_attempt import StepCode
from quizzes.shop_context import ShopContext, own_shop_first
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.clock import page_moment
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.refusals import Refused


@role("student")
@require_safe
def quizzes(request: SignedInRequest, shop: ShopContext) -> HttpResponse:
    """Every quiz with the next step, those of my own shop first."""
    at = page_moment(request)
    steps, other_steps = own_shop_first(shop, request.user, at, list(bench(request.user, at)), lambda step: step.bank)
    return render(request, "quizzes/attempts/quizzes.html", {"steps": steps, "more": other_steps})


@role("student")
@require_safe
def quiz(request: SignedInRequest, bank: int, shop: ShopContext) -> HttpResponse:
    """One quiz before it is begun: what it asks, and the next step."""
    at = page_moment(request)
    edition = access.one_of(latest_editions(request.user, at), bank=bank)
    text = text_of(edition).bank
    context = {
        "edition": edition,
        "text": text,
        "step": relearning_queries.steps(request.user, at, [edition])[bank],
        "refresher": "refresher" in request.GET,
        "asks": refresher_asks(text),
        "again": "again" in request.GET,
        "first": shop.subjects_first(request.user, bank, at),
    }
    return render(request, "quizzes/attempts/quiz.html", context)


@role("student")
@require_POST
def start(request: SignedInRequest, bank: int) -> HttpResponse:
    purpose = request.POST.get("purpose")
    attempt = start_attempt(
        student=request.user,
        bank=bank,
        refresher=purpose == "refresher",
        again=purpose == "again",
    )
    return redirect("attempt-question", attempt.pk, 1)


@gzip_page
@role("student")
@require_http_methods(["GET", "HEAD", "POST"])
def question(request: SignedInRequest, attempt: UUID, number: int) -> HttpResponse:
    if request.method != "POST":
        stored_attempt = _on_screen(request, attempt)
        return (
            _question_page(request, stored_attempt, number)
            if stored_attempt.is_open
            else redirect("attempt-result", attempt)
        )
    try:
        _, lacks = _save(request, attempt, number)
    except Refused as refusal:
        if refusal.code != "answer.changed-elsewhere":
            raise
        return _question_page(request, attempt_for(request.user, attempt), number, refusal.sentence, 409)
    if PRESS in request.POST:
        return redirect(f"{request.get_full_path()}#step-{quote(request.POST[PRESS])}")
    if lacks:
        return _question_page(request, attempt_for(request.user, attempt), number, lacks, 422)
    return redirect(_onward(request, attempt_for(request.user, attempt), number))


@role("student")
@require_POST
def save(request: SignedInRequest, attempt: UUID, number: int) -> JsonResponse:
    """Keeps an answer while its page stays where it is: what a page with scripts sends after every change."""
    kept, lacks = _save(request, attempt, number)
    return JsonResponse({"revision": kept.revision if kept else 0, "lacks": lacks})


def _save(request: SignedInRequest, attempt: UUID, number: int) -> tuple[Answer | None, str]:
    return save_answer(
        student=request.user,
        attempt=attempt,
        number=number,
        sent=dict(request.POST.lists()),
        revision=_revision(request),
    )


def _on_screen(request: SignedInRequest, attempt: UUID) -> Attempt:
    stored_attempt = attempt_for(request.user, attempt)
    if stored_attempt.on_paper and stored_attempt.is_open:
        raise Refused("attempt.on-paper", _(ON_PAPER))
    return stored_attempt


def _revision(request: SignedInRequest) -> int | None:
    revision_text = request.POST.get("revision", "")
    return (
        int(revision_text) if revision_text.isascii() and revision_text.isdigit() and len(revision_text) < 10 else None
    )


def _onward(request: SignedInRequest, attempt: Attempt, number: int) -> str:
    """Where the saved answer leads: the next question, or the page to check them all."""
    if "check" in request.GET or number >= attempt.asked:
        return reverse("attempt-check", args=[attempt.pk])
    return reverse("attempt-question", args=[attempt.pk, number + 1])


def _question_page(
    request: SignedInRequest, attempt: Attempt, number: int, problem: str = "", status: int = 200
) -> HttpResponse:
    sheets = attempts_queries.question_answers(attempt, request.user.given.language)
    if not 1 <= number <= len(sheets):
        raise Http404
    bank = text_of(attempt.edition).bank
    context = {
        "attempt": attempt,
        "subject": bank.subject,
        **reading_context(request.user, bank, bank.question_by_code[sheets[number - 1].asked.code]),
        "sheet": sheets[number - 1],
        "asked": sheets[number - 1].asked,
        "total": len(sheets),
        "saved": sum(not sheet.lacks for sheet in sheets),
        "problem": problem,
        "back": number - 1,
        "onward": number + 1 if number < len(sheets) else 0,
        "next": _onward(request, attempt, number),
    }
    return render(request, "quizzes/attempts/question.html", context, status=status)


@role("student")
@require_safe
def check(request: SignedInRequest, attempt: UUID) -> HttpResponse:
    """What is answered. `?go=on` leads a student who comes back to the first question that is not, if one is left."""
    stored_attempt = _on_screen(request, attempt)
    if not stored_attempt.is_open:
        return redirect("attempt-result", attempt)
    if request.GET.get("go") == "on" and (
        left := [sheet for sheet in attempts_queries.question_answers(stored_attempt) if sheet.lacks]
    ):
        return redirect("attempt-question", attempt, left[0].asked.number)
    return _check_page(request, stored_attempt)


def _check_page(request: SignedInRequest, attempt: Attempt, problem: str = "", status: int = 200) -> HttpResponse:
    sheets = attempts_queries.question_answers(attempt, request.user.given.language)
    context = {
        "attempt": attempt,
        "subject": text_of(attempt.edition).bank.subject,
        "sheets": sheets,
        "total": len(sheets),
        "saved": sum(not sheet.lacks for sheet in sheets),
        "problem": problem,
    }
    return render(request, "quizzes/attempts/check.html", context, status=status)


@role("student")
@require_POST
def hand_in(request: SignedInRequest, attempt: UUID) -> HttpResponse:
    try:
        attempts_acts.hand_in(student=request.user, attempt=attempt)
    except Refused as refusal:
        if refusal.code != "hand-in.unanswered":
            raise
        return _check_page(request, attempt_for(request.user, attempt), refusal.sentence, 422)
    return redirect("attempt-result", attempt)


@role("student")
@require_safe
def result(request: SignedInRequest, attempt: UUID, shop: ShopContext) -> HttpResponse:
    """Perfect or not yet; after a miss the rules to learn again, and what stands before the next attempt."""
    stored_attempt = attempt_for(request.user, attempt)
    if stored_attempt.is_open:
        return redirect("attempt-check", attempt)
    text = text_of(stored_attempt.edition, request.user.given.language).bank
    reads = {read.rule: read for read in stored_attempt.rules_read.filter(recalled_at__isnull=False)}
    cards = [
        (number, text.rule_by_code[code], reads.get(code)) for number, code in enumerate(stored_attempt.missed_rules, 1)
    ]
    at = page_moment(request)
    step = step_of(stored_attempt, at)
    unchecked = [number for number, _, read in cards if read and not read.checked_at]
    refreshed = stored_attempt.perfect and stored_attempt.purpose == Attempt.Purpose.REFRESHER
    context = {
        "attempt": stored_attempt,
        "text": text,
        "cards": cards,
        "unread": [card for card in cards if not card[2]],
        "check_next": unchecked[0] if step.code == StepCode.CHECK and step.attempt == attempt and unchecked else 0,
        "step": step,
        "ticks": _ticks(stored_attempt.asked or 0),
        "cleared": shop.clearance_lines(request.user, stored_attempt.bank_id, at) if refreshed else [],
    }
    return render(request, "quizzes/attempts/result.html", context)


def _ticks(asked: int) -> list[str]:
    """Where a tick stands for each question on the rule under the shaving (quizzes/attempts/shaving.html)."""
    return [f"{1 + 516 * number / asked:.1f}" for number in range(asked + 1)] if asked else []
