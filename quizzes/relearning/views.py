"""The cards of missed rules, for the student who learns them again."""

from uuid import UUID

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from quizzes.access import attempt_for, numbers_hidden
from quizzes.accommodations.reading import reading_context
from quizzes.banks.editions.texts import text_of
from quizzes.facts import EditionText, Rule, sentences
from quizzes.models import Attempt
from quizzes.questions.answering import PRESS
from quizzes.questions.showing import filled, show
from quizzes.relearning.acts import answer_check, open_card, read_check, recall_rule
from quizzes.relearning.opened_card import note_opened
from quizzes.relearning.queries import check_line
from quizzes.relearning.rules.recalling import parts
from shopsafe.school.clock import page_moment
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.refusals import Refused


@role("student")
@require_http_methods(["GET", "HEAD", "POST"])
def card(request: SignedInRequest, attempt: UUID, number: int) -> HttpResponse:
    """A rule's card; posting says it was read and covers it."""
    stored_attempt, edition, rule = _card(request, attempt, number)
    if request.method == "POST":
        opened = request.POST.get("opened", "")
        open_card(student=request.user, attempt=attempt, rule=rule.code, opened=opened)
        return redirect("relearn-recall", attempt, number)
    context = _card_context(request, stored_attempt, edition, rule, number) | {
        "picture": edition.pictures.get(rule.picture),
        "marked": _marked(stored_attempt, rule),
        "opened": note_opened(request.user.pk, attempt, rule.code, page_moment(request)),
    }
    return render(request, "quizzes/relearning/card.html", context)


@role("student")
@require_http_methods(["GET", "HEAD", "POST"])
def covered(request: SignedInRequest, attempt: UUID, number: int) -> HttpResponse:
    """The card covered: the student fills in the rule's word. The server checks; the page does not hold the word."""
    stored_attempt, edition, rule = _card(request, attempt, number)
    context = _card_context(request, stored_attempt, edition, rule, number)
    if request.method != "POST":
        if not stored_attempt.rules_read.filter(rule=rule.code).exists():
            return redirect("relearn-card", attempt, number)
        return render(request, "quizzes/relearning/covered.html", context)
    typed_word = request.POST.get("said", "")[:100]
    read = recall_rule(student=request.user, attempt=attempt, rule=rule.code, word=typed_word)
    if read.recalled_at:
        return redirect("attempt-result", attempt)
    return render(
        request, "quizzes/relearning/covered.html", context | {"said": typed_word, "problem": True}, status=422
    )


@role("student")
@require_http_methods(["GET", "HEAD", "POST"])
def check(request: SignedInRequest, attempt: UUID, number: int) -> HttpResponse:
    """After the cards: one question on a missed rule, and then whether the answer is right. It counts for nothing."""
    stored_attempt, edition, rule = _card(request, attempt, number)
    if request.method != "POST" or PRESS in request.POST:  # a press: one step of an order, on a page without scripts
        recalled = set(stored_attempt.rules_read.exclude(recalled_at=None).values_list("rule", flat=True))
        answered = stored_attempt.rules_read.filter(rule=rule.code).exclude(checked_at=None).exists()
        if answered or not recalled >= set(stored_attempt.missed_rules):
            return redirect("attempt-result", attempt)
        return _check_page(request, stored_attempt, edition, rule, number)
    try:
        right = answer_check(student=request.user, attempt=attempt, rule=rule.code, sent=dict(request.POST.lists()))
    except Refused as refusal:
        if refusal.code != "check.unanswered":
            raise
        return _check_page(request, stored_attempt, edition, rule, number, refusal.sentence)
    if right is None:
        return redirect("attempt-result", attempt)
    return _verdict_page(request, stored_attempt, rule, number, right=right)


def _check_page(
    request: SignedInRequest, attempt: Attempt, edition: EditionText, rule: Rule, number: int, problem: str = ""
) -> HttpResponse:
    line, bank = check_line(attempt, rule.code), text_of(attempt.edition).bank
    context = {
        **reading_context(request.user, bank, bank.question_by_code[line.code]),
        "attempt": attempt,
        "subject": bank.subject,
        "asked": filled(show(edition, line, number), read_check(line, dict(request.POST.lists()))),
        "total": len(attempt.missed_rules),
        "problem": problem,
    }
    return render(request, "quizzes/relearning/study_check.html", context, status=422 if problem else 200)


def _verdict_page(request: SignedInRequest, attempt: Attempt, rule: Rule, number: int, *, right: bool) -> HttpResponse:
    """Right or not yet, with the rule; never which answer is right."""
    edition = text_of(attempt.edition, request.user.given.language)
    open_rules = attempt.rules_read.filter(checked_at=None).values_list("rule", flat=True)
    next_number = next((n for n, code in enumerate(attempt.missed_rules, 1) if code in set(open_rules)), 0)
    context = _card_context(request, attempt, edition, rule, number) | {"right": right, "next": next_number}
    return render(request, "quizzes/relearning/study_check_verdict.html", context)


def _card(request: SignedInRequest, attempt: UUID, number: int) -> tuple[Attempt, EditionText, Rule]:
    stored_attempt = attempt_for(request.user, attempt)
    if stored_attempt.voided_at or not 1 <= number <= len(stored_attempt.missed_rules):
        raise Http404
    edition = text_of(stored_attempt.edition, request.user.given.language)
    return stored_attempt, edition, edition.bank.rule_by_code[stored_attempt.missed_rules[number - 1]]


def _marked(attempt: Attempt, rule: Rule) -> list[tuple[str, bool]]:
    """The rule sentence by sentence; True for those that decided a question of the quiz, whichever was missed."""
    bank = text_of(attempt.edition).bank
    asked = [bank.question_by_code[line["code"]] for line in attempt.form["lines"]]
    numbers = {number for question in asked if question.rule == rule.code for number in question.decided_by}
    says = sentences(rule.says)
    same = len(says) == len(sentences(bank.rule_by_code[rule.code].says))  # a translation may cut it otherwise
    return [(sentence, same and number in numbers) for number, sentence in enumerate(says, 1)]


def _card_context(
    request: SignedInRequest, attempt: Attempt, edition: EditionText, rule: Rule, number: int
) -> dict[str, object]:
    bank = text_of(attempt.edition).bank
    return {
        **reading_context(request.user, bank, bank.rule_by_code[rule.code]),
        "attempt": attempt,
        "text": edition.bank,
        "rule": rule,
        "values": edition.bank.values_of_rule.get(rule.code, ()),
        "numbers_hidden": numbers_hidden(request.user, attempt.bank_id),
        "number": number,
        "total": len(attempt.missed_rules),
        "blank": parts(rule.recall) if rule.recall else ("", ""),
    }
