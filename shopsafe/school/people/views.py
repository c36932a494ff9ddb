"""Classes and their people, for teachers and the office."""

from typing import Any

from django.contrib import messages
from django.forms import Form
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shopsafe.school import access
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import page_moment
from shopsafe.school.models import Person, Section
from shopsafe.school.naming.name_labels import full_names_of, short_names_of
from shopsafe.school.pages.after_sign_in import onward
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.name_field import warn_of_look_alikes
from shopsafe.school.pages.refused_on import refused_on, status_of
from shopsafe.school.people.acts import students as acts
from shopsafe.school.people.acts.documents import record_document, withdraw_document
from shopsafe.school.people.acts.names import correct_name
from shopsafe.school.people.acts.numbers import set_student_number
from shopsafe.school.people.forms import (
    DocumentForm,
    NameCorrectForm,
    StudentForm,
    StudentNumberForm,
    WithdrawDocumentForm,
)
from shopsafe.school.people.queries import (
    leaving,
    may_begin,
    name_in_class,
    people_of,
    sections_with_counts,
    students_among,
    students_of,
)
from shopsafe.school.people.rules.documents import DOCUMENTS
from shopsafe.school.people.slip_sheet import drawn_slips, names_this_computer_alone
from shopsafe.school.rosters.acts import add_student
from shopsafe.school.signing_in.queries import locked_names, name_locks, waves_of
from shopsafe.school.templatetags.drawing import day

# Where on the form for one student stands what the act refuses.
ADDED_BY_HAND = dict.fromkeys(("student.no-number", "student.number-taken"), "local_id") | {"student.to-fix": "name"}


@role("teacher", "office")
@require_GET
def people(request: SignedInRequest) -> HttpResponse:
    sections = sections_with_counts(request.user)
    begin = reverse("first-run-shop") if not sections and may_begin(request.user) else ""
    return render(request, "school/people/people.html", {"sections": sections, "begin": begin})


@role("teacher", "office")
@require_GET
def class_people(request: SignedInRequest, section: int) -> HttpResponse:
    """`?tick=all` comes with every box ticked: a way that needs no script."""
    return _page(request, access.section_for(request.user, section))


def _page(request: SignedInRequest, section: Section, **forms: Any) -> HttpResponse:
    today = local_day(at := page_moment(request), section.school.time_zone)
    students = people_of(section, day=today)
    locks = name_locks(students, at)
    context = {
        "section": section,
        "students": students,
        "nowhere_else": names_this_computer_alone(),
        "leaving": leaving(section, day=today),
        "names": full_names_of(students),
        "shorts": short_names_of(students),
        "locked": locked_names(students, locks),
        "locked_pks": {lock.person for lock in locks},
        "waves": waves_of(locks),
        "without_slip": sum(not student.has_usable_password() for student in students),
        "machines_page": reverse("class-machines", args=[section.pk]),
        "may_change": access.may(request.user, "change a class", section=section),
        "ticked": _ticked(request) or ([member.pk for member in students] if request.GET.get("tick") == "all" else []),
        "document": DocumentForm(initial={"signed_on": today}),
        "document_kinds": list(DOCUMENTS.values()),
        "student": StudentForm(),
        "wrong": next(iter(forms.values()), None),
        **forms,
    }
    return render(request, "school/people/class_people.html", context, status=422 if forms else 200)


def _ticked(request: SignedInRequest) -> list[int]:
    return [int(pk) for pk in request.POST.getlist("student") if pk.isascii() and pk.isdigit() and len(pk) < 19]


@role("teacher", "office")
@require_POST
def documents_record(request: SignedInRequest, section: int) -> HttpResponse:
    of = access.own_section_for(request.user, section)
    form = DocumentForm(request.POST)
    if form.is_valid():
        students = students_among(of, _ticked(request))
        with refused_on(form, "signed_on"):
            new = record_document(section=of, students=students, by=request.user, **form.cleaned_data)
            name = form.cleaned_data["kind"].name
            messages.success(request, f"{name.capitalize()} recorded for {_count(len(new))}.")
            return redirect("class-people", section=section)
    return _page(request, of, document=form)


@role("teacher", "office")
@require_POST
def slips_issue(request: SignedInRequest, section: int) -> HttpResponse:
    """The slips as a PDF: the only time the codes are shown. `which=first` is everybody who has none yet."""
    of = access.own_section_for(request.user, section)
    form = Form(request.POST)
    if request.POST.get("which") == "first":
        students = [student for student in students_of(of) if not student.has_usable_password()]
    else:
        students = students_among(of, _ticked(request))
    if form.is_valid() and not students and "which" in request.POST:  # pressed again on a page that still stood there
        form.add_error(None, "Everybody in this class has a slip by now. Tick those who need a new one.")
        return _page(request, of, slips=form)
    with refused_on(form):
        pdf = drawn_slips(of, students, by=request.user)
        name = content_disposition_header(as_attachment=False, filename=f"Sign-in slips {of.name}.pdf") or ""
        return HttpResponse(pdf, content_type="application/pdf", headers={"Content-Disposition": name})
    return _page(request, of, slips=form)


@role("teacher", "office")
@require_POST
def student_add(request: SignedInRequest, section: int) -> HttpResponse:
    of = access.own_section_for(request.user, section)
    form = StudentForm(request.POST)
    if form.is_valid():
        with refused_on(form, ADDED_BY_HAND):
            student = add_student(section=of, by=request.user, **form.cleaned_data)
            messages.success(request, f"{name_in_class(of, student)} is in the class.")
            warn_of_look_alikes(request, student.name)
            return redirect("class-people", section=section)
    return _page(request, of, student=form)


@role("teacher", "office")
@require_POST
def student_let_in(request: SignedInRequest, section: int, student: int) -> HttpResponse:
    of = access.section_for(request.user, section)
    who = access.one_of(access.students_for(request.user), pk=student, enrollments__section=of)
    acts.let_in(student=who, by=request.user)
    messages.success(request, f"{name_in_class(of, who)} may try again, with the same slip.")
    return redirect("class-people", section=section)


@role("teacher", "office")
@require_POST
def class_let_in(request: SignedInRequest, section: int) -> HttpResponse:
    of = access.section_for(request.user, section)
    students = acts.let_class_in(section=of, by=request.user)
    messages.success(request, f"Unlocked {_count(len(students))}. They may try again, with the same slips.")
    return redirect(onward(request, "class-people", section))


@role("teacher", "office")
@require_http_methods(["GET", "POST"])
def enrollment_end(request: SignedInRequest, section: int, student: int) -> HttpResponse:
    of = access.own_section_for(request.user, section)
    who = access.one_of(access.students_for(request.user), pk=student, enrollments__section=of)
    at, called = page_moment(request), name_in_class(of, who)
    if request.method == "GET":
        return render(request, "school/people/enrollment_end.html", {"section": of, "called": called})
    last = acts.end_enrollment(section=of, student=who, by=request.user).until_day
    spoken = "Today" if last == local_day(at, of.school.time_zone) else day(last)
    messages.success(request, f"{spoken} is the last day of {called} in {of.name}.")
    return redirect("class-people", section=section)


@role("teacher", "office")
@require_http_methods(["GET", "POST"])
def document_withdraw(request: SignedInRequest, section: int, student: int, kind: str) -> HttpResponse:
    of = access.own_section_for(request.user, section)
    document = DOCUMENTS.get(kind)
    if document is None:
        raise Http404
    who = access.one_of(access.students_for(request.user), pk=student, enrollments__section=of)
    form = WithdrawDocumentForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        reason = form.cleaned_data["reason"]
        withdraw_document(section=of, student=who, kind=document, reason=reason, by=request.user)
        messages.success(request, f"The {document.name} of {name_in_class(of, who)} is withdrawn.")
        return redirect("class-people", section=section)
    context = {"section": of, "called": name_in_class(of, who), "form": form, "kind": document}
    return render(request, "school/people/document_withdraw.html", context, status=status_of(form))


@role("teacher", "office")
@require_http_methods(["GET", "POST"])
def name_correct(request: SignedInRequest, section: int, student: int) -> HttpResponse:
    of = access.own_section_for(request.user, section)
    who = access.one_of(access.students_for(request.user), pk=student, enrollments__section=of)
    # A name that was read whole is never guessed apart: it stands in the first field until somebody says so.
    start = {"given": who.given_name if who.family_name else who.name, "family": who.family_name}
    form = NameCorrectForm(request.POST if request.method == "POST" else None, initial=start)
    if form.is_bound and form.is_valid():
        with refused_on(form, "given"):
            now = correct_name(section=of, student=who, by=request.user, **form.cleaned_data)
            messages.success(request, f"The name is {now.name} now. The name to sign in with is {now.sign_in_name}.")
            warn_of_look_alikes(request, now.name)
            return redirect("class-people", section=section)
    number_form = StudentNumberForm(initial={"number": who.local_id})
    return _name_and_number(request, of, who, form, number_form, status_of(form))


@role("teacher", "office")
@require_POST
def number_set(request: SignedInRequest, section: int, student: int) -> HttpResponse:
    of = access.own_section_for(request.user, section)
    who = access.one_of(access.students_for(request.user), pk=student, enrollments__section=of)
    form = StudentNumberForm(request.POST)
    if form.is_valid():
        with refused_on(form, "number"):
            now = set_student_number(section=of, student=who, by=request.user, **form.cleaned_data)
            messages.success(request, f"{now.name} has the student number {now.local_id} now.")
            return redirect("class-people", section=section)
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


def _count(number: int) -> str:
    return "1 student" if number == 1 else f"{number} students"
