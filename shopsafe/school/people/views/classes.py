"""Classes and their students, for teachers and the office."""

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.forms import Form
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import content_disposition_header
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_GET, require_POST

from shopsafe.language.messages import _, counted
from shopsafe.school import access
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import page_moment
from shopsafe.school.models import Person, Section
from shopsafe.school.naming.name_labels import full_names_of, short_names_of
from shopsafe.school.pages.after_sign_in import onward
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.name_field import warn_of_look_alikes
from shopsafe.school.pages.refused_on import refused_on
from shopsafe.school.people.acts import students as acts
from shopsafe.school.people.acts.documents import record_document
from shopsafe.school.people.forms import DocumentForm, StudentForm
from shopsafe.school.people.queries import (
    leaving,
    may_add_a_class,
    may_begin,
    name_in_class,
    people_of,
    sections_with_counts,
    students_among,
    students_of,
)
from shopsafe.school.people.rules.documents import AGREEMENT, DOCUMENTS
from shopsafe.school.people.slip_sheet import drawn_slips, names_this_computer_alone
from shopsafe.school.rosters.acts import add_student
from shopsafe.school.signing_in.queries import locked_names, name_locks, waves_of

OTHER_DOCUMENTS = [kind for kind in DOCUMENTS.values() if kind is not AGREEMENT]
# Where on the form for one student stands what the act refuses.
ADDED_BY_HAND = dict.fromkeys(("student.no-number", "student.number-taken"), "local_id") | {"student.to-fix": "name"}


@role("teacher", "office")
@require_GET
def people(request: SignedInRequest) -> HttpResponse:
    sections = sections_with_counts(request.user)
    begin = reverse("first-run-shop") if not sections and may_begin(request.user) else ""
    context = {"sections": sections, "begin": begin, "add": may_add_a_class(request.user)}
    return render(request, "school/people/people.html", context)


@gzip_page
@role("teacher", "office")
@require_GET
def class_people(request: SignedInRequest, section: int) -> HttpResponse:
    """`?tick=all` comes with every box ticked: a way that needs no script."""
    return _page(request, access.section_for(request.user, section))


def _page(request: SignedInRequest, section: Section, **forms: Any) -> HttpResponse:
    today = local_day(at := page_moment(request), section.school.time_zone)
    students = people_of(section, day=today)
    context = {
        "section": section,
        "students": students,
        "nowhere_else": names_this_computer_alone(),
        "leaving": leaving(section, day=today),
        "names": full_names_of(students),
        "shorts": short_names_of(students),
        "without_slip": sum(not student.has_usable_password() for student in students),
        "machines_page": reverse("class-machines", args=[section.pk]),
        "may_change": access.may(request.user, "change a class", section=section),
        "ticked": [student.pk for student in students] if request.GET.get("tick") == "all" else _ticked(request),
        "document": DocumentForm(initial={"signed_on": today}),
        "agreement": AGREEMENT,
        "documents": OTHER_DOCUMENTS,
        "student": StudentForm(),
        "wrong": next(iter(forms.values()), None),
    }
    context |= _locks(students, at) | forms
    return render(request, "school/people/class_people.html", context, status=422 if forms else 200)


def _locks(students: list[Person], at: datetime) -> dict[str, Any]:
    locks = name_locks(students, at)
    locked_pks = {lock.person for lock in locks}
    return {"locked": locked_names(students, locks), "locked_pks": locked_pks, "waves": waves_of(locks)}


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
            messages.success(
                request, _("{document} recorded for {students}.", document=name.capitalize(), students=_count(len(new)))
            )
            return redirect("class-people", section=section)
    return _page(request, of, document=form)


@role("teacher", "office")
@require_POST
def slips_issue(request: SignedInRequest, section: int) -> HttpResponse:
    """The slips as a PDF: the only time the codes are shown. `which=first` is everyone who has none yet."""
    of = access.own_section_for(request.user, section)
    form = Form(request.POST)
    if request.POST.get("which") == "first":
        students = [student for student in students_of(of) if not student.has_usable_password()]
    else:
        students = students_among(of, _ticked(request))
    if form.is_valid() and not students and "which" in request.POST:  # pressed again on a page that still stood there
        form.add_error(None, _("Everyone in this class has a slip by now. Select those who need a new one."))
        return _page(request, of, slips=form)
    with refused_on(form):
        pdf = drawn_slips(of, students, by=request.user)
        name = (
            content_disposition_header(as_attachment=False, filename=_("Sign-in slips {section}.pdf", section=of.name))
            or ""
        )
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
            messages.success(request, _("{student} is in the class.", student=name_in_class(of, student)))
            warn_of_look_alikes(request, student.name)
            return redirect("class-people", section=section)
    return _page(request, of, student=form)


@role("teacher", "office")
@require_POST
def class_let_in(request: SignedInRequest, section: int) -> HttpResponse:
    of = access.section_for(request.user, section)
    students = acts.let_class_in(section=of, by=request.user)
    messages.success(
        request, _("Unlocked {students}. They may try again, with the same slips.", students=_count(len(students)))
    )
    return redirect(onward(request, "class-people", section))


def _count(number: int) -> str:
    return counted("{count} student", "{count} students", count=number)
