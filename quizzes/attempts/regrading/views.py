"""The page that corrects a wrong key: whom it concerns is shown before anything is done."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from quizzes.access import banks_for
from quizzes.attempts.regrading.acts import correct_key
from quizzes.attempts.regrading.forms import CorrectKeyForm
from quizzes.attempts.regrading.queries import concerned, in_reach
from quizzes.attempts.regrading.rules import may_correct
from quizzes.banks.editions.texts import text_of
from quizzes.facts import option_texts
from quizzes.figures.rules.contributions import key_of, offered
from quizzes.figures.rules.plain_words import answer_text
from quizzes.models import Bank, Edition
from shopsafe.language.messages import _, counted
from shopsafe.school import access
from shopsafe.school.naming.name_labels import short_names_of
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.refused_on import refused_on, status_of


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def key_correct(request: SignedInRequest, bank: int, question: str) -> HttpResponse:
    """First the new key is chosen and the page says whom it concerns; then it is corrected."""
    stored_bank = access.one_of(banks_for(request.user), pk=bank)
    latest = stored_bank.editions.order_by("-number").first()
    if latest is None or question not in text_of(latest).bank.question_by_code:
        raise Http404
    form, chosen = _form(request, latest, question), request.POST.get("key") or request.GET.get("key", "")
    if form.is_bound and form.is_valid():
        with refused_on(form):
            form_values = {name: form.cleaned_data[name] for name in ("edition", "key", "reason")}
            correction = correct_key(by=request.user, bank=bank, question=question, **form_values)
            messages.success(request, _done(correction.regrades.count(), correction.edition.number))
            return redirect("question-figures", bank, question)
    context = _context(request, stored_bank, latest, question, chosen) | {"form": form}
    return render(request, "quizzes/attempts/correct_key.html", context, status=status_of(form))


def _form(request: SignedInRequest, latest: Edition, question: str) -> CorrectKeyForm:
    text = text_of(latest).bank
    item = text.question_by_code[question]
    if not may_correct(item):
        raise Http404
    codes = list(offered(item) or [",".join(map(str, range(len(option_texts(item)))))])
    chosen_key = request.POST.get("key") or request.GET.get("key", "")
    if chosen_key and chosen_key not in codes:
        codes.append(chosen_key)
    choices = [(code, answer_text(item, code, text)) for code in codes if code != key_of(item, text)]
    initial = {"edition": latest.number, "key": chosen_key}
    correcting = request.method == "POST" and request.POST.get("step") != "look"
    return CorrectKeyForm(request.POST if correcting else None, choices=choices, initial=initial)


def _context(request: SignedInRequest, bank: Bank, latest: Edition, question: str, chosen: str) -> dict[str, object]:
    text = text_of(latest).bank
    item = text.question_by_code[question]
    context: dict[str, object] = {
        "bank": bank,
        "edition": latest,
        "question": item,
        "key": answer_text(item, key_of(item, text), text),
    }
    if not chosen or chosen == key_of(item, text):
        return context
    concern = concerned(bank, latest, question, chosen)
    groups = {name: in_reach(request.user, getattr(concern, name)) for name in ("gains", "still_missed", "old_key")}
    names = short_names_of([student for students, _others in groups.values() for student in students])
    named_groups = {
        name: ([names[student.pk] for student in students], others) for name, (students, others) in groups.items()
    }
    return context | {"concern": named_groups, "chosen": answer_text(item, chosen, text)}


def _done(gains: int, edition: int) -> str:
    if not gains:
        return _("Key corrected in edition {edition}. No student's result changes.", edition=edition)
    return counted(
        "Key corrected in edition {edition}. {count} student passed by it.",
        "Key corrected in edition {edition}. {count} students passed by it.",
        count=gains,
        edition=edition,
    )
