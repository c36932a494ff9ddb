"""Quizzes on paper: a teacher prints one for a student, and enters what is on the sheet."""

from dataclasses import replace
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from quizzes.access import banks_for, sheet_for, sheets_out
from quizzes.attempts import acts
from quizzes.attempts import queries as attempts_queries
from quizzes.attempts.forms import PaperQuizForm
from quizzes.attempts.paper.sheets import key_pdf, quiz_pdf
from quizzes.questions.on_paper import lettered, sent_of
from quizzes.shop_context import ShopContext
from shopsafe.language.messages import _, counted
from shopsafe.paper.rules.sheets import A4, LETTER, Paper
from shopsafe.school import access
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import page_moment
from shopsafe.school.models.people import not_over
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.refused_on import refused_on, status_of


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def paper_quizzes(request: SignedInRequest, shop: ShopContext) -> HttpResponse:
    """The sheets that are out, and a new one for a student: the quizzes of the teacher's classes are listed first."""
    at = page_moment(request)
    today = local_day(at, request.user.school.time_zone)
    students = access.students_for(request.user).filter(not_over(today, "enrollments__"), is_active=True).distinct()
    banks = banks_for(request.user).filter(editions__published_at__lte=at).distinct()
    asked = {"student": request.GET.get("student")}
    form = PaperQuizForm(request.POST or None, initial=asked, students=students, banks=banks)
    form.list_first(shop.banks_of_shop(request.user, at))
    if request.method == "POST" and form.is_valid():
        student, bank = form.cleaned_data["student"], form.cleaned_data["bank"]
        with refused_on(form):
            attempt = acts.start_on_paper(student=student, bank=bank.pk, by=request.user)
            return redirect("paper-quiz", attempt.pk)
    context = {"form": form, "out": sheets_out(request.user)}
    return render(request, "quizzes/attempts/on_paper/paper_quizzes.html", context, status=status_of(form))


@role("teacher")
@require_safe
def paper_quiz(request: SignedInRequest, attempt: UUID) -> HttpResponse:
    """One quiz on paper: to print, to enter, to check what was entered."""
    stored_attempt = sheet_for(request.user, attempt)
    sheets = [
        replace(sheet, asked=lettered(sheet.asked)) for sheet in attempts_queries.question_answers(stored_attempt)
    ]
    context = {"attempt": stored_attempt, "sheets": sheets, "entered": sum(bool(sheet.response) for sheet in sheets)}
    return render(request, "quizzes/attempts/on_paper/paper_quiz.html", context)


@role("teacher")
@require_safe
def sheet(request: SignedInRequest, attempt: UUID) -> HttpResponse:
    stored_attempt = sheet_for(request.user, attempt)
    return _pdf(quiz_pdf(stored_attempt, _paper(request)), f"Quiz-{stored_attempt.paper_code}")


@role("teacher")
@require_safe
def key(request: SignedInRequest, attempt: UUID) -> HttpResponse:
    stored_attempt = sheet_for(request.user, attempt)
    return _pdf(key_pdf(stored_attempt, _paper(request)), f"Key-{stored_attempt.paper_code}")


def _paper(request: SignedInRequest) -> Paper:
    return A4 if request.GET.get("paper") == A4.code else LETTER


def _pdf(body: bytes, name: str) -> HttpResponse:
    headers = {"Content-Disposition": f'inline; filename="{name}.pdf"'}
    return HttpResponse(body, content_type="application/pdf", headers=headers)


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def enter(request: SignedInRequest, attempt: UUID) -> HttpResponse:
    """The whole sheet on one page, to copy its marks into."""
    if request.method == "POST":
        sent = sent_of(dict(request.POST.lists()))
        stored_attempt = acts.enter_answers(by=request.user, attempt=attempt, sent=sent)
        if not stored_attempt.answers.exists():
            messages.info(request, _("Nothing was entered. Enter what is on the sheet, or void it."))
        return redirect("paper-quiz", attempt)
    stored_attempt = sheet_for(request.user, attempt)
    if not stored_attempt.is_open:
        return redirect("paper-quiz", attempt)
    context = {
        "attempt": stored_attempt,
        "questions": [lettered(sheet.asked) for sheet in attempts_queries.question_answers(stored_attempt)],
    }
    return render(request, "quizzes/attempts/on_paper/paper_enter.html", context)


@role("teacher")
@require_POST
def hand_in(request: SignedInRequest, attempt: UUID) -> HttpResponse:
    stored_attempt = acts.hand_in_sheet(by=request.user, attempt=attempt)
    rules = len(stored_attempt.missed_rules)
    result = (
        _("every answer was right")
        if stored_attempt.perfect
        else counted("{count} rule to learn again", "{count} rules to learn again", count=rules)
    )
    messages.success(request, f"{stored_attempt.student.short_name}: {result}.")
    return redirect("paper-quiz", attempt)
