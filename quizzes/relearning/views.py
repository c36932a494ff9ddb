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
from quizzes.relearning.acts import open_card, recall_rule
from quizzes.relearning.rules.recalling import parts
from shopsafe.school.pages.guards import SignedInRequest, role


@role("student")
@require_http_methods(["GET", "HEAD", "POST"])
def card(request: SignedInRequest, attempt: UUID, number: int) -> HttpResponse:
    """A rule's card; posting says it was read and covers it."""
    stored_attempt, edition, rule = _card(request, attempt, number)
    if request.method == "POST":
        open_card(student=request.user, attempt=attempt, rule=rule.code)
        return redirect("relearn-recall", attempt, number)
    context = _card_context(request, stored_attempt, edition, rule, number) | {
        "picture": edition.pictures.get(rule.picture),
        "marked": _marked(stored_attempt, rule),
    }
    return render(request, "quizzes/student/card.html", context)


@role("student")
@require_http_methods(["GET", "HEAD", "POST"])
def covered(request: SignedInRequest, attempt: UUID, number: int) -> HttpResponse:
    """The card covered: the student fills in the rule's word. The server checks; the page does not hold the word."""
    stored_attempt, edition, rule = _card(request, attempt, number)
    context = _card_context(request, stored_attempt, edition, rule, number)
    if request.method != "POST":
        return render(request, "quizzes/student/covered.html", context)
    typed_word = request.POST.get("said", "")[:100]
    read = recall_rule(student=request.user, attempt=attempt, rule=rule.code, said=typed_word)
    if read.recalled_at:
        return redirect("attempt-result", attempt)
    return render(request, "quizzes/student/covered.html", context | {"said": typed_word, "problem": True}, status=422)


def _card(request: SignedInRequest, attempt: UUID, number: int) -> tuple[Attempt, EditionText, Rule]:
    stored_attempt = attempt_for(request.user, attempt)
    if stored_attempt.voided_at or not 1 <= number <= len(stored_attempt.missed_rules):
        raise Http404
    edition = text_of(stored_attempt.edition, request.user.given.language)
    return stored_attempt, edition, edition.bank.rule_by_code[stored_attempt.missed_rules[number - 1]]


def _marked(attempt: Attempt, rule: Rule) -> list[tuple[str, bool]]:
    """The rule sentence by sentence; True for those that decided a question which was missed."""
    bank = text_of(attempt.edition).bank
    missed = [bank.question_by_code[code] for code in attempt.missed_questions if code in bank.question_by_code]
    numbers = {number for question in missed if question.rule == rule.code for number in question.decided_by}
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
