"""A student asks for a machine, or no longer waits for it."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from machines.clearance.records import machine_for
from machines.floor.acts import waiting as acts
from machines.floor.rows.records import waiting_for
from machines.floor.views.shops import out_of_date
from shopsafe.language.messages import _
from shopsafe.school.pages.form_parts import TapForm
from shopsafe.school.pages.guards import SignedInRequest, role


@role("student")
@require_POST
def waiting_join(request: SignedInRequest, machine: int) -> HttpResponse:
    """The student asks for the machine, and is on its list."""
    row, form = machine_for(request.user, machine), TapForm(request.POST)
    if not form.is_valid():
        raise out_of_date()
    acts.join_waiting(machine=row, student=request.user, by=request.user, tap=form.cleaned_data["tap"])
    messages.success(request, _("You wait for {machine}. Your teacher sees your name.", machine=row.spoken))
    return redirect("machine", row.pk)


@role("student", "teacher", "substitute")
@require_POST
def waiting_leave(request: SignedInRequest, waiting: int) -> HttpResponse:
    row = waiting_for(request.user, waiting)
    form = TapForm(request.POST)
    if not form.is_valid():
        raise out_of_date()
    acts.leave_waiting(waiting=row, by=request.user, tap=form.cleaned_data["tap"])
    messages.success(
        request, _("{student} no longer waits for {machine}.", student=row.student.name, machine=row.machine.spoken)
    )
    return redirect("machine", row.machine_id) if request.user.is_student else redirect("floor", row.machine.shop_id)
