"""A machine is given, checked, started and stopped; a helper is named. By staff at the tablet, or by the student."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from machines.clearance.records import machine_for
from machines.floor.acts import helpers as helper_acts
from machines.floor.acts import runs as acts
from machines.floor.checks import worn_lines
from machines.floor.forms import CheckForm
from machines.floor.rows.records import helper_for, helpers_at, run_for
from machines.floor.showing.helping import helper_choices
from machines.floor.showing.names import in_words
from machines.floor.views.floor import shop_with_floor
from machines.floor.views.shops import out_of_date, press
from machines.models import Run
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.clock import page_moment
from shopsafe.school.pages.form_parts import TapForm
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.refused_on import refused_on, status_of


@role("teacher", "substitute")
@require_POST
def run_give(request: SignedInRequest, machine: int) -> HttpResponse:
    """The second of two taps: the student's name."""
    stored, pk = machine_for(request.user, machine), request.POST.get("student", "")
    if not pk.isdecimal():
        raise Http404
    student = access.student_for(request.user, int(pk))
    shop = shop_with_floor(request, stored.shop_id)
    return press(
        request,
        shop,
        acts.assign,
        _("{machine} is {student}’s. First the check.", machine=stored, student=student.name),
        machine=stored,
        student=student,
    )


@role("teacher", "substitute", "student")
@require_http_methods(["GET", "HEAD", "POST"])
def run_check(request: SignedInRequest, run: int) -> HttpResponse:
    """The pre-use check: two short lists, each confirmed as a whole, then started."""
    row = run_for(request.user, run)
    form = CheckForm(request.POST or None, kind=row.machine.kind)
    if request.method == "POST" and form.is_valid():
        with refused_on(form):
            acts.start(run=row, checked=form.checked, by=request.user, tap=form.cleaned_data["tap"])
            messages.success(
                request,
                _("{machine} is running. {student} works alone at it.", machine=row.machine, student=row.student.name),
            )
            return back_from(request, row)
    kind, worn = row.machine.kind, worn_lines(row.machine.kind)
    context: dict[str, Any] = {
        "run": row, "form": form, "worn": [_(line) for line in worn], "zone": row.machine.shop.school.time_zone,
        "worn_count": in_words(len(worn)), "machine_count": in_words(len(kind.pre_use)),
        "helpers": helpers_at(row),
    }  # fmt: skip
    if kind.helpers and not request.user.is_student:
        context["choices"] = helper_choices(row, page_moment(request))
    return render(request, "machines/floor/runs/check.html", context, status=status_of(form))


@role("teacher", "substitute", "student")
@require_POST
def run_end(request: SignedInRequest, run: int) -> HttpResponse:
    """It stands still: the student says so, or a teacher who has looked."""
    row = run_for(request.user, run)
    form = TapForm(request.POST)
    if not form.is_valid():
        raise out_of_date()
    acts.end_run(run=row, by=request.user, tap=form.cleaned_data["tap"])
    messages.success(request, _("{machine} is marked as stopped.", machine=row.machine))
    if request.POST.get("next") == "closing" and not request.user.is_student:
        return redirect("shop-closing", row.machine.shop_id)
    if request.POST.get("next") == "machine" and not request.user.is_student:
        return redirect("machine", row.machine_id)
    return back_from(request, row)


@role("teacher", "substitute")
@require_POST
def run_helper(request: SignedInRequest, run: int) -> HttpResponse:
    """Name a student as helper at a run."""
    row, pk = run_for(request.user, run), request.POST.get("student", "")
    form = TapForm(request.POST)
    if not pk.isdecimal() or not form.is_valid():
        raise out_of_date()
    student = access.student_for(request.user, int(pk))
    helper_acts.name_helper(run=row, student=student, by=request.user, tap=form.cleaned_data["tap"])
    messages.success(request, _("{student} helps at {machine}.", student=student.name, machine=row.machine.spoken))
    return redirect("run-check", row.pk)


@role("teacher", "substitute")
@require_POST
def helper_release(request: SignedInRequest, helper: int) -> HttpResponse:
    """The help is over before the run is."""
    row = helper_for(request.user, helper)
    form = TapForm(request.POST)
    if not form.is_valid():
        raise out_of_date()
    helper_acts.release_helper(helper=row, by=request.user, tap=form.cleaned_data["tap"])
    messages.success(
        request, _("{student} no longer helps at {machine}.", student=row.student.name, machine=row.run.machine.spoken)
    )
    return redirect("run-check", row.run_id)


def back_from(request: SignedInRequest, run: Run) -> HttpResponse:
    """A student returns to the machine's page, staff to the floor."""
    if request.user.is_student:
        return redirect("machine", run.machine_id)
    return redirect("floor", run.machine.shop_id)
