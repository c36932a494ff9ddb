"""A teacher says that a demonstration was not complete yet, and which points the student shows again."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from machines.clearance.records import machine_for
from machines.sign_offs.acts import DEED
from machines.sign_offs.acts.not_yet import record_not_yet, undo_not_yet
from machines.sign_offs.forms import NotYetForm
from machines.sign_offs.queries import not_yet_for
from machines.sign_offs.views.sign_offs import back_to_machine
from shopsafe.language.messages import _, marked
from shopsafe.school import access
from shopsafe.school.clock import page_moment
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.refused_on import refused_on, status_of
from shopsafe.school.people.names_in_class import short_name_in_shop

NOT_YET = marked("Not yet: {student} on {machine}.")
NEXT_TRY = marked("Not yet: {student} on {machine}. The next try starts at these points.")


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def not_yet(request: SignedInRequest, machine: int, student: int) -> HttpResponse:
    """The points that were not watched, each to be shown again or not shown; with `step=record` it is recorded."""
    at = page_moment(request)
    stored_machine, person = machine_for(request.user, machine), access.student_for(request.user, student)
    watched, again = request.POST.getlist("point"), request.POST.getlist("again")
    open_points = [point for point in stored_machine.kind.demonstration if point not in watched]
    name = short_name_in_shop(request.user, person, stored_machine.shop_id, at)
    form = NotYetForm(request.POST if request.POST.get("step") == "record" else None)
    if form.is_bound and form.is_valid():
        with refused_on(form):
            access.allow(request.user, DEED, shop=stored_machine.shop)
            again, left = _split(open_points, again)
            whose: dict[str, Any] = {"student": person, "machine": stored_machine, "by": request.user}
            record_not_yet(**whose, again=again, not_shown=left, **form.cleaned_data)
            spoken = stored_machine.spoken
            sentence = NEXT_TRY if again or left else NOT_YET
            messages.success(request, _(sentence, student=name, machine=spoken))
            return redirect(back_to_machine(request, stored_machine.pk))
    context = {"machine": stored_machine, "student": person, "name": name, "form": form, "watched": watched}
    numbered = [row for row in enumerate(stored_machine.kind.demonstration, 1) if row[1] in open_points]
    context |= {"open_points": numbered, "again": again, "address": reverse("not-yet", args=[machine, student])}
    return render(request, "machines/sign_offs/not_yet.html", context, status=status_of(form))


def _split(open_points: list[str], again: list[str]) -> tuple[list[str], list[str]]:
    """The points that were not watched, as the act takes them: to be shown again, and not shown."""
    checked = [point for point in open_points if point in again]
    return checked, [point for point in open_points if point not in checked]


@role("teacher")
@require_POST
def not_yet_undo(request: SignedInRequest, not_yet: int) -> HttpResponse:
    row = access.one_of(not_yet_for(request.user), pk=not_yet)
    undo_not_yet(not_yet=row, by=request.user)
    name = short_name_in_shop(request.user, row.student, row.machine.shop_id, page_moment(request))
    messages.success(
        request, _("Undone: “Not yet” for {student} on {machine}.", student=name, machine=row.machine.spoken)
    )
    return redirect("sign-off", row.machine_id, row.student_id)
