"""A student's own hold: what can be done about it, and the rules to learn again, card by card."""

from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from machines.holds import acts
from machines.holds.queries import latest_text, own_holds, way_for
from machines.models import Hold
from quizzes.facts import Rule
from quizzes.relearning.opened_card import note_opened, opened_at
from quizzes.relearning.rules.recalling import parts
from shopsafe.school import access
from shopsafe.school.clock import page_moment, school_moment
from shopsafe.school.pages.guards import SignedInRequest, role


@role("student")
@require_safe
def own_hold(request: SignedInRequest, hold: int) -> HttpResponse:
    """In kind words: what is paused, and what I can do about it."""
    at, row = page_moment(request), access.one_of(own_holds(request.user), pk=hold)
    way, text = way_for(row, at), latest_text(row, at)
    left = way.left(at)
    rules = [(n, text.bank.rule_by_code.get(code), code in left) for n, code in enumerate(way.rules, 1)] if text else []
    context = {"hold": row, "way": way, "rules": rules, "left": left, "done": way.done(at)}
    return render(request, "machines/holds/student/hold.html", context)


@role("student")
@require_http_methods(["GET", "HEAD", "POST"])
def own_hold_rule(request: SignedInRequest, hold: int, number: int) -> HttpResponse:
    """A rule's card; ?covered= and the note of the opened card covers it, and what is filled in is posted there."""
    row = access.one_of(own_holds(request.user), pk=hold)
    context = _card(row, number)
    rule: Rule = context["rule"]
    opened = request.POST.get("opened", "") if request.method == "POST" else request.GET.get("covered", "")
    if request.method != "POST" and not opened_at(opened, request.user.pk, f"hold {hold}", rule.code):
        note = note_opened(request.user.pk, f"hold {hold}", rule.code, page_moment(request))
        return render(request, "machines/holds/student/hold_rule.html", context | {"opened": note})
    context |= {"opened": opened}
    if request.method != "POST":
        return render(request, "machines/holds/student/hold_covered.html", context)
    typed_word = request.POST.get("said", "")[:100]
    if acts.learn_held_rule(student=request.user, hold=row, rule=rule.code, word=typed_word, opened=opened):
        return redirect("own-hold", hold)
    context |= {"said": typed_word, "problem": True}
    return render(request, "machines/holds/student/hold_covered.html", context, status=422)


def _card(row: Hold, number: int) -> dict[str, Any]:
    text = latest_text(row, school_moment(row.school_id))
    if text is None or not 1 <= number <= len(row.rules):
        raise Http404
    rule = text.bank.rule_by_code.get(row.rules[number - 1])
    if rule is None:
        raise Http404
    return {
        "hold": row,
        "text": text.bank,
        "rule": rule,
        "picture": text.pictures.get(rule.picture),
        "number": number,
        "total": len(row.rules),
        "blank": parts(rule.recall) if rule.recall else ("", ""),
    }
