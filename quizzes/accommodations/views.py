"""What helps one student to read and answer: a teacher gives it here."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from quizzes.accommodations.forms import AccommodationsForm
from quizzes.banks.editions.queries import languages_of
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.clock import page_moment
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.people.acts.accommodations import give_accommodations


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def accommodations(request: SignedInRequest, student: int) -> HttpResponse:
    at = page_moment(request)
    chosen_student = access.student_for(request.user, student)
    had = languages_of(request.user, at)
    form = AccommodationsForm(
        request.POST or None, initial=vars(chosen_student.given), languages={*had, chosen_student.given.language}
    )
    if request.method == "POST" and form.is_valid():
        give_accommodations(student=chosen_student, given=form.given, by=request.user)
        messages.success(request, _("{student} has these from now on.", student=chosen_student.short_name))
        return redirect("accommodations", student)
    context = {"student": chosen_student, "form": form, "had": had}
    return render(request, "quizzes/accommodations/accommodations.html", context, status=422 if form.errors else 200)
