"""The rules as published, to be read before a quiz and after it, by everyone who is signed in."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_safe

from quizzes.access import numbers_hidden
from quizzes.banks.editions.queries import latest_editions
from quizzes.banks.editions.texts import text_of
from quizzes.questions.translating import language_used
from quizzes.shop_context import ShopContext, own_shop_first
from shopsafe.school import access
from shopsafe.school.clock import page_moment
from shopsafe.school.pages.guards import SignedInRequest


@require_safe
def banks(request: SignedInRequest, shop: ShopContext) -> HttpResponse:
    """Every subject with an edition; a student's own shop first."""
    at = page_moment(request)
    published = list(latest_editions(request.user, at))
    editions, other_editions = own_shop_first(shop, request.user, at, published, lambda edition: edition.bank_id)
    return render(request, "quizzes/banks/rules/banks.html", {"editions": editions, "more": other_editions})


@gzip_page
@require_safe
def bank(request: SignedInRequest, bank: int) -> HttpResponse:
    """The rules of one subject, as they are in its latest edition."""
    edition = access.one_of(latest_editions(request.user, page_moment(request)), bank=bank)
    language = request.user.given.language
    written, text = text_of(edition).bank, text_of(edition, language)
    values = written.values_of_rule
    rules = [
        (rule, text.pictures.get(rule.picture), values.get(rule.code, ()), language_used(written, own, language))
        for rule, own in zip(text.bank.live_rules, written.live_rules, strict=True)
    ]
    context = {
        "edition": edition,
        "text": text.bank,
        "rules": rules,
        "numbers_hidden": numbers_hidden(request.user, bank),
    }
    return render(request, "quizzes/banks/rules/bank.html", context)
