"""A teacher's pages about attempts: students who wait for a release, and voiding an attempt."""

from datetime import datetime
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from quizzes.access import attempt_for
from quizzes.attempts.acts import void_attempt
from quizzes.attempts.forms import VoidForm
from quizzes.attempts.queries import question_answers
from quizzes.relearning.acts import release_student
from quizzes.relearning.queries import waiting_for
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.clock import page_moment
from shopsafe.school.naming.name_labels import full_names_of
from shopsafe.school.pages.guards import SignedInRequest, role


@role("teacher")
@require_safe
def waiting(request: SignedInRequest) -> HttpResponse:
    """The students who can't go on without their teacher, with the rules they missed."""
    return _waiting_page(request, page_moment(request))


def _waiting_page(request: SignedInRequest, at: datetime) -> HttpResponse:
    waiting = waiting_for(request.user, at)
    named = full_names_of(access.students_for(request.user)) if waiting else {}
    context = {"waiting": waiting, "named": named}
    return render(request, "quizzes/attempts/waiting.html", context)


@role("teacher")
@require_POST
def release(request: SignedInRequest, attempt: UUID) -> HttpResponse:
    released = release_student(by=request.user, attempt=attempt)
    messages.success(request, _("{student} may try again.", student=released.attempt.student.short_name))
    return redirect("students-waiting")


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def void(request: SignedInRequest, attempt: UUID) -> HttpResponse:
    """An attempt as it was taken, and the form to void it."""
    stored_attempt = attempt_for(request.user, attempt)
    form = VoidForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        void_attempt(by=request.user, attempt=attempt, **form.cleaned_data)
        messages.success(request, _("The attempt is voided. Nothing was deleted."))
        return redirect("attempt-void", attempt)
    context = {"attempt": stored_attempt, "sheets": question_answers(stored_attempt), "form": form}
    return render(request, "quizzes/attempts/attempt.html", context, status=422 if form.errors else 200)
