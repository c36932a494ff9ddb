"""How every edit form goes: show, look, save; and what is said when a colleague changed the draft in the meantime."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse

from quizzes.access import banks_for
from quizzes.banks.draft_rows import draft_of
from quizzes.banks.drafts import acts
from quizzes.banks.drafts.queries import changes_since
from quizzes.banks.editor.forms import DraftForm
from quizzes.banks.editor.question_trial import TrialResult, look_at
from quizzes.banks.pictures.files import MOST_BYTES
from quizzes.facts import EditionText
from quizzes.models import Bank
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.pages.guards import SignedInRequest
from shopsafe.school.refusals import Refused


def draft_at(request: SignedInRequest, bank: int) -> tuple[Bank, EditionText]:
    stored_bank = access.one_of(banks_for(request.user), pk=bank)
    return stored_bank, draft_of(stored_bank)


def item_of(items: dict[str, Any], code: str) -> Any:
    """The item of that code, None without a code, 404 for a code that is not in the draft."""
    if code and code not in items:
        raise Http404
    return items.get(code)


def edit(request: SignedInRequest, bank: Bank, kind: Any, item: Any, noun: str, **more: Any) -> HttpResponse:
    """The page of one form. Its buttons: save, look (as a student would see it), picture (show it, half filled)."""
    form = _form(request, bank, kind, item, **more)
    step = request.POST.get("step", "save") if request.method == "POST" else ""
    context: dict[str, Any] = {"bank": bank, "form": form, "noun": _(noun), "tried": None}
    if step == "picture":
        form.not_judged()
    elif step and form.is_valid():
        if step == "look":
            context["tried"] = _tried(form)
        else:
            try:
                return _saved(request, bank, form)
            except Refused as refusal:
                context |= conflict_context(bank, form, refusal)
    status = 409 if "conflicts" in context else 422 if form.errors else 200
    return render(request, f"quizzes/banks/editor/{form.page}.html", context, status=status)


def _form(request: SignedInRequest, bank: Bank, kind: Any, item: Any, **more: Any) -> DraftForm:
    """The form with what was sent, or with what is in the draft. A picture that came along is kept first."""
    if request.method != "POST":
        return kind(draft=draft_of(bank), revision=bank.draft_revision, item=item, **more)
    sent: QueryDict = request.POST
    problem = ""
    if upload := request.FILES.get("upload"):
        try:
            name = acts.add_picture(by=request.user, bank=bank.pk, content=upload.read(MOST_BYTES + 1))
            sent = _with_picture(sent, name)
            bank.refresh_from_db()
        except Refused as refusal:
            problem = refusal.sentence
    form = kind(sent, draft=draft_of(bank), revision=bank.draft_revision, item=item, **more)
    if problem:
        form.add_error("upload", problem)
    return form


def _with_picture(sent: QueryDict, name: str) -> QueryDict:
    changed = sent.copy()
    changed["picture"] = name
    return changed


def _saved(request: SignedInRequest, bank: Bank, form: DraftForm) -> HttpResponse:
    revision = form.cleaned_data["revision"]
    acts.change_draft(by=request.user, bank=bank.pk, revision=revision, change=form.change, says=form.said)
    messages.success(request, _("Saved in the draft: {changes}", changes=form.said), extra_tags=form.anchor)
    return redirect(f"{reverse('bank', args=[bank.pk])}#{form.anchor}")


def conflict_context(bank: Bank, form: DraftForm, refusal: Refused) -> dict[str, Any]:
    """What to say when a save was refused. After a colleague's change: whose, when, what, and how theirs reads now."""
    if refusal.code != acts.CHANGED:
        form.add_error(None, refusal.sentence)
        return {}
    since = form.cleaned_data["revision"]
    bank.refresh_from_db()
    form.seen(bank.draft_revision)
    return {"bank": bank, "conflicts": changes_since(bank, since), "theirs": form.differences(draft_of(bank))}


def _tried(form: DraftForm) -> TrialResult | None:
    """The question of the form as a student would see it, saved or not."""
    question = getattr(form, "question", None)
    if question is None:
        return None
    return look_at(EditionText(bank=form.change(form.draft.bank), pictures=form.draft.pictures), question.code)
