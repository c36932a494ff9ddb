"""Removing a student who was entered by mistake, while nothing is on record."""

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from machines.records import erasure
from machines.records.acts import remove_student
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.refused_on import refused_on, status_of
from shopsafe.school.people.queries import name_in_class


@role("teacher", "office")
@require_http_methods(["GET", "HEAD", "POST"])
def student_remove(request: SignedInRequest, section: int, student: int) -> HttpResponse:
    of = access.own_section_for(request.user, section)
    chosen = access.one_of(access.students_for(request.user), pk=student, enrollments__section=of)
    form = forms.Form(request.POST if request.method == "POST" else None)
    if request.method == "POST":
        with refused_on(form):
            removed = remove_student(student=chosen, section=of, by=request.user)
            sentence = _("The student is removed.")
            if removed.going.prints:
                sentence += " " + _("Print again: {prints}.", prints=", ".join(removed.going.prints))
            messages.success(request, sentence)
            return redirect("class-people", section)
    context = {"section": of, "student": chosen, "called": name_in_class(of, chosen), "form": form}
    context["blocker"] = erasure.removal_blocker(chosen, of)
    return render(request, "machines/records/student_remove.html", context, status=status_of(form))
