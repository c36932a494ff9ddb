"""The bank editor: a teacher changes the draft, one rule, question or value at a time."""

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from quizzes.banks.drafts import acts
from quizzes.banks.editor.edit_flow import draft_at, edit, item_of
from quizzes.banks.editor.forms import AddForm, HeadForm, RuleForm, ValueForm
from quizzes.banks.editor.question_forms import FORMS
from quizzes.banks.editor.question_trial import look_at, try_out
from quizzes.banks.rules import editing
from quizzes.banks.rules.changes import says
from quizzes.facts import BankText
from shopsafe.language.messages import _, marked, stored
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.refused_on import refused_on, status_of
from shopsafe.school.refusals import Refused

ITEM_ACTIONS: dict[str, tuple[str, Callable[..., BankText]]] = {
    "up": ("moved up", partial(editing.move, step=-1)),
    "down": ("moved down", partial(editing.move, step=1)),
    "retire": ("retired", editing.retire),
    "restore": ("restored", partial(editing.retire, retired=False)),
}


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def add(request: SignedInRequest) -> HttpResponse:
    """A new bank from nothing."""
    form = AddForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        with refused_on(form, "subject"):
            bank = acts.add_bank(by=request.user, **form.cleaned_data)
            messages.success(request, _("The bank is there. Write its first rule."))
            return redirect("bank", bank.pk)
    return render(request, "quizzes/banks/editor/add.html", {"form": form}, status=status_of(form))


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def head(request: SignedInRequest, bank: int) -> HttpResponse:
    """The subject, what it is about, what a student does after it."""
    stored_bank, draft = draft_at(request, bank)
    return edit(request, stored_bank, HeadForm, draft.bank, marked("subject"))


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def rule(request: SignedInRequest, bank: int, rule: str = "") -> HttpResponse:
    """One rule; without a code, a new one."""
    stored_bank, draft = draft_at(request, bank)
    return edit(request, stored_bank, RuleForm, item_of(draft.bank.rule_by_code, rule), marked("rule"))


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def value(request: SignedInRequest, bank: int, value: str = "") -> HttpResponse:
    """One stored value; without a code, a new one."""
    stored_bank, draft = draft_at(request, bank)
    return edit(request, stored_bank, ValueForm, item_of(draft.bank.value_by_code, value), marked("number to know"))


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def question(request: SignedInRequest, bank: int, question: str) -> HttpResponse:
    stored_bank, draft = draft_at(request, bank)
    item = item_of(draft.bank.question_by_code, question)
    return edit(request, stored_bank, FORMS[item.kind], item, marked("question"), rule=item.rule)


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def question_add(request: SignedInRequest, bank: int, rule: str, kind: str) -> HttpResponse:
    stored_bank, draft = draft_at(request, bank)
    item_of(draft.bank.rule_by_code, rule)
    if kind not in FORMS:
        raise Http404
    return edit(request, stored_bank, FORMS[kind], None, marked("question"), rule=rule)


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def preview(request: SignedInRequest, bank: int, question: str) -> HttpResponse:
    """A question as a student meets it. The teacher may answer it; nothing is recorded."""
    stored_bank, draft = draft_at(request, bank)
    item = item_of(draft.bank.question_by_code, question)
    posted = request.method == "POST"
    tried = try_out(draft, question, dict(request.POST.lists())) if posted else look_at(draft, question)
    context = {"bank": stored_bank, "question": item, "tried": tried, "asked": tried.asked}
    return render(request, "quizzes/banks/editor/preview.html", context, status=422 if tried.problem else 200)


@role("teacher")
@require_POST
def arrange(request: SignedInRequest, bank: int) -> HttpResponse:
    """Moves, retires or brings back one rule or question: the button that was pressed says `deed:rule:code`."""
    _bank, draft = draft_at(request, bank)
    deed, what, code = (*request.POST.get("do", "").split(":"), "", "", "")[:3]
    items = _items(draft.bank, what)
    if deed not in ITEM_ACTIONS or code not in items:
        raise Refused("draft.no-such", _("This is not in the draft. Look at the bank again."), 422)
    done, change = ITEM_ACTIONS[deed]
    try:
        acts.change_draft(
            by=request.user,
            bank=bank,
            revision=int(request.POST["revision"]) if request.POST.get("revision", "").isdecimal() else 0,
            change=partial(change, what=what, code=code),
            says=stored(f"{done} the {what} “{says(items[code])}”"),
        )
    except Refused as refusal:
        messages.error(request, _("Not done. {sentence}", sentence=refusal.sentence), extra_tags=code)
    return redirect(f"{reverse('bank', args=[bank])}#{code}")


def _items(bank: BankText, what: str) -> Mapping[str, Any]:
    items: dict[str, Mapping[str, Any]] = {editing.RULE: bank.rule_by_code, editing.QUESTION: bank.question_by_code}
    return items.get(what, {})
