"""How long records are kept, and the erasing of one: for the office."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from machines.records import erasure
from machines.records.acts import ErasureResult, erase_student
from machines.records.forms import EraseForm, KeepForm, RetentionForm
from shopsafe.database.sweeping import sweep
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.clock import page_moment
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.refused_on import refused_on, status_of
from shopsafe.school.retention import acts

A_PAGE = 100


@role("office")
@require_http_methods(["GET", "HEAD", "POST"])
def retention(request: SignedInRequest) -> HttpResponse:
    """The school's years, and who has left. `?who=` looks for part of a name."""
    at, school = page_moment(request), request.user.school
    years = {"years": school.keep_years, "years_after_injury": school.keep_years_injury}
    form = RetentionForm(request.POST or None, initial=years)
    if request.method == "POST" and form.is_valid():
        with refused_on(form):
            acts.set_retention(**form.cleaned_data, by=request.user)
            messages.success(request, _("Kept. The list below follows."))
            return redirect("retention")
    who = request.GET.get("who", "").strip()[:120]
    leavers = erasure.leavers(school, at, who)
    context = {"form": form, "who": who, "leavers": leavers[:A_PAGE], "more": len(leavers) - A_PAGE}
    context["last_day_today"] = erasure.last_day_today(school, at)
    context["due"] = sum(leaver.due for leaver in leavers)
    return render(request, "machines/records/retention.html", context, status=status_of(form))


@role("office")
@require_http_methods(["GET", "HEAD", "POST"])
def student_erase(request: SignedInRequest, student: int) -> HttpResponse:
    """What would go; then, with the name typed, it goes. A second request is answered like the first."""
    if request.method == "POST" and (entry := erasure.erased_as(student, request.user.school)):
        return _gone(request, entry)
    at, who = page_moment(request), access.student_for(request.user, student)
    form = EraseForm(request.POST or None, name=who.name)
    if form.is_valid():
        with refused_on(form):
            done = erase_student(student=who, reason=form.cleaned_data["reason"], by=request.user)
            messages.success(request, _told(done, swept=sweep()))
            return redirect("retention")
        # The other of two clicks may have been quicker.
        if entry := erasure.erased_as(student, request.user.school):
            return _gone(request, entry)
    context = {"student": who, "form": form, "going": erasure.erasure_plan(who, at)}
    return render(request, "machines/records/erase.html", context, status=status_of(form))


def _gone(request: SignedInRequest, entry: int) -> HttpResponse:
    messages.success(request, _("The record is erased already: entry {entry} says so.", entry=entry))
    return redirect("retention")


def _told(done: ErasureResult, *, swept: bool) -> str:
    """Without the name: a message waits in a cookie or a session."""
    message = (
        _("The record is erased: entry {entry} says so.", entry=done.entry)
        if done.entry
        else _("The record is erased.")
    )
    if done.going.prints:
        message += " " + _("Print again: {prints}.", prints=", ".join(done.going.prints))
    if not swept:
        message += " " + _("Someone was reading, so the disk is not swept yet: run manage.py retention --really.")
    return message


@role("office")
@require_http_methods(["GET", "HEAD", "POST"])
def student_keep(request: SignedInRequest, student: int) -> HttpResponse:
    who = access.student_for(request.user, student)
    form = KeepForm(request.POST or None)
    if form.is_valid():
        with refused_on(form):
            acts.keep_record(student=who, reason=form.cleaned_data["reason"], by=request.user)
            messages.success(
                request, _("The record of {student} is kept until you end extended keeping.", student=who.name)
            )
            return redirect("evidence", who.pk)
    return render(request, "machines/records/keep.html", {"student": who, "form": form}, status=status_of(form))


@role("office")
@require_POST
def student_let_go(request: SignedInRequest, student: int) -> HttpResponse:
    who = access.student_for(request.user, student)
    acts.let_record_go(student=who, by=request.user)
    messages.success(request, _("The school's rule decides about the record of {student} again.", student=who.name))
    return redirect("evidence", who.pk)
