"""One student of a class: what is on file, the name, and leaving, staying or moving."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import page_moment
from shopsafe.school.models import Person, Section
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.name_field import warn_of_look_alikes
from shopsafe.school.pages.refused_on import refused_on, status_of
from shopsafe.school.people.acts import moves
from shopsafe.school.people.acts import students as acts
from shopsafe.school.people.acts.documents import withdraw_document
from shopsafe.school.people.acts.names import correct_name
from shopsafe.school.people.acts.numbers import set_student_number
from shopsafe.school.people.forms import (
    LeaveForm,
    MoveForm,
    NameCorrectForm,
    StudentNumberForm,
    WithdrawDocumentForm,
)
from shopsafe.school.people.queries import classes_to_move_to, last_day_in, name_in_class, with_documents
from shopsafe.school.people.rules.documents import DOCUMENTS
from shopsafe.school.signing_in.queries import name_locks
from shopsafe.school.templatetags.drawing import day


def _student(request: SignedInRequest, section: int, student: int) -> tuple[Section, Person]:
    """A class that the asker may change, and a student who is or was in it."""
    of = access.own_section_for(request.user, section)
    return of, access.one_of(access.students_for(request.user), pk=student, enrollments__section=of)


@role("teacher", "office")
@require_GET
def class_student(request: SignedInRequest, section: int, student: int) -> HttpResponse:
    return _page(request, *_student(request, section, student))


def _page(request: SignedInRequest, section: Section, student: Person, **forms: Any) -> HttpResponse:
    at = page_moment(request)
    today = local_day(at, section.school.time_zone)
    [student] = with_documents([student], section, day=today)
    context = {
        "section": section,
        "student": student,
        "called": name_in_class(section, student),
        "locked": bool(name_locks([student], at)),
        "last_day": (last_day := last_day_in(section, student, day=today)),
        "ends_today": last_day == today,
        "move": MoveForm(classes=classes_to_move_to(request.user, section, day=today)),
        "leave": LeaveForm(initial={"last_day": today}),
        "remove": reverse("student-remove", args=[section.pk, student.pk]),
        "clearances": reverse("student-standings", args=[section.pk, student.pk]),
        **forms,
    }
    return render(request, "school/people/class_student.html", context, status=422 if forms else 200)


@role("teacher", "office")
@require_POST
def student_move(request: SignedInRequest, section: int, student: int) -> HttpResponse:
    of, who = _student(request, section, student)
    today = local_day(page_moment(request), of.school.time_zone)
    form = MoveForm(request.POST, classes=classes_to_move_to(request.user, of, day=today))
    if form.is_valid():
        with refused_on(form, "to"):
            to = form.cleaned_data["to"]
            called = name_in_class(of, who)
            moves.move_student(section=of, student=who, to=to, by=request.user)
            messages.success(request, _("{student} is in {section} from today.", student=called, section=to.name))
            return redirect("class-people", section=section)
    return _page(request, of, who, move=form)


@role("teacher", "office")
@require_POST
def enrollment_end(request: SignedInRequest, section: int, student: int) -> HttpResponse:
    of, who = _student(request, section, student)
    form = LeaveForm(request.POST)
    if form.is_valid():
        with refused_on(form, "last_day"):
            called = name_in_class(of, who)
            last = moves.end_enrollment(section=of, student=who, by=request.user, **form.cleaned_data).until_day
            spoken = _("Today") if last == local_day(page_moment(request), of.school.time_zone) else day(last)
            messages.success(
                request,
                _("{day} is the last day of {student} in {section}.", day=spoken, student=called, section=of.name),
            )
            return redirect("class-people", section=section)
    return _page(request, of, who, leave=form)


@role("teacher", "office")
@require_POST
def enrollment_keep(request: SignedInRequest, section: int, student: int) -> HttpResponse:
    of, who = _student(request, section, student)
    moves.keep_enrollment(section=of, student=who, by=request.user)
    messages.success(request, _("{student} stays in {section}.", student=name_in_class(of, who), section=of.name))
    return redirect("class-student", section, student)


@role("teacher", "office")
@require_POST
def student_let_in(request: SignedInRequest, section: int, student: int) -> HttpResponse:
    of = access.section_for(request.user, section)
    who = access.one_of(access.students_for(request.user), pk=student, enrollments__section=of)
    acts.let_in(student=who, by=request.user)
    messages.success(request, _("{student} may try again, with the same slip.", student=name_in_class(of, who)))
    return redirect("class-people", section=section)


@role("teacher", "office")
@require_http_methods(["GET", "POST"])
def document_withdraw(request: SignedInRequest, section: int, student: int, kind: str) -> HttpResponse:
    of, who = _student(request, section, student)
    document = DOCUMENTS.get(kind)
    if document is None:
        raise Http404
    form = WithdrawDocumentForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        reason = form.cleaned_data["reason"]
        withdraw_document(section=of, student=who, kind=document, reason=reason, by=request.user)
        messages.success(
            request,
            _("The {document} of {student} is withdrawn.", document=document.name, student=name_in_class(of, who)),
        )
        return redirect("class-student", section, student)
    context = {"section": of, "called": name_in_class(of, who), "form": form, "kind": document}
    return render(request, "school/people/document_withdraw.html", context, status=status_of(form))


@role("teacher", "office")
@require_http_methods(["GET", "POST"])
def name_correct(request: SignedInRequest, section: int, student: int) -> HttpResponse:
    of, who = _student(request, section, student)
    # A name that was read whole is never guessed apart: it is in the first field until someone says so.
    start = {"given": who.given_name if who.family_name else who.name, "family": who.family_name}
    form = NameCorrectForm(request.POST if request.method == "POST" else None, initial=start)
    if form.is_bound and form.is_valid():
        with refused_on(form, "given"):
            now = correct_name(section=of, student=who, by=request.user, **form.cleaned_data)
            messages.success(
                request,
                _(
                    "The name is {name} now. The name to sign in with is {sign_in_name}.",
                    name=now.name,
                    sign_in_name=now.sign_in_name,
                ),
            )
            warn_of_look_alikes(request, now.name)
            return redirect("class-student", section, student)
    number_form = StudentNumberForm(initial={"number": who.local_id})
    return _name_and_number(request, of, who, form, number_form, status_of(form))


@role("teacher", "office")
@require_POST
def number_set(request: SignedInRequest, section: int, student: int) -> HttpResponse:
    of, who = _student(request, section, student)
    form = StudentNumberForm(request.POST)
    if form.is_valid():
        with refused_on(form, "number"):
            now = set_student_number(section=of, student=who, by=request.user, **form.cleaned_data)
            messages.success(
                request, _("{student} has the student number {number} now.", student=now.name, number=now.local_id)
            )
            return redirect("class-student", section, student)
    start = {"given": who.given_name if who.family_name else who.name, "family": who.family_name}
    return _name_and_number(request, of, who, NameCorrectForm(initial=start), form, status_of(form))


def _name_and_number(
    request: SignedInRequest,
    section: Section,
    student: Person,
    form: NameCorrectForm,
    number_form: StudentNumberForm,
    status: int,
) -> HttpResponse:
    context = {
        "section": section,
        "student": student,
        "called": name_in_class(section, student),
        "form": form,
        "number_form": number_form,
    }
    return render(request, "school/people/name_correct.html", context, status=status)
