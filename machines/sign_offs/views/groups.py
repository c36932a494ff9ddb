"""A teacher at the tablet: up to six students at one machine, each tapped, each judged and signed off alone."""

from collections.abc import Sequence
from uuid import UUID, uuid5

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_http_methods

from machines.clearance.records import machine_for
from machines.models import Machine
from machines.sign_offs import acts
from machines.sign_offs.forms import MOST_IN_GROUP, GroupForm, SignOffForm
from machines.sign_offs.queries import at_machine
from machines.sign_offs.views.sign_offs import back_to_machine
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.clock import page_moment
from shopsafe.school.models import Person
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.refused_on import refused_on, status_of
from shopsafe.school.refusals import Refused
from shopsafe.school.signing_in.codes.check_word_today import word_of

OF_EVERY_STUDENT = ("sign-off.point-unticked", "sign-off.points-changed")  # said once, for the whole page


@gzip_page
@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def sign_off_group(request: SignedInRequest, machine: int) -> HttpResponse:
    """The students who are ready, the points, and after sending the result of each student."""
    stored_machine = machine_for(request.user, machine)
    form, watched = GroupForm(request.POST or None), request.POST.getlist("point")
    refusals: dict[Person, str] = {}
    if request.method == "POST":
        with refused_on(form):
            access.allow(request.user, acts.DEED, shop=stored_machine.shop)
            if form.is_valid():
                tapped, tap = form.cleaned_data["student"], form.cleaned_data["tap"]
                students = [access.student_for(request.user, pk) for pk in tapped]
                refusals = _sign_off_each(students, stored_machine, request.user, watched, tap)
                if not refusals:
                    messages.success(
                        request,
                        _("Signed off {count} on {machine}.", count=len(students), machine=stored_machine.spoken),
                    )
                    return redirect(back_to_machine(request, stored_machine.pk))
                form.renew()
    return _page(request, stored_machine, form, refusals, [] if refusals else watched)


def _sign_off_each(
    students: Sequence[Person], machine: Machine, by: Person, watched: list[str], tap: UUID
) -> dict[Person, str]:
    """Student → why that student was refused. Every student has a tap of their own, made from the page's."""
    refusals = {}
    for student in students:
        own = uuid5(tap, str(student.pk))
        try:
            acts.sign_off(student=student, machine=machine, by=by, ticked=watched, tap=own)
        except Refused as refusal:
            if refusal.code in OF_EVERY_STUDENT:
                raise
            refusals[student] = refusal.sentence
    return refusals


def _page(
    request: SignedInRequest, machine: Machine, form: GroupForm, refusals: dict[Person, str], watched: list[str]
) -> HttpResponse:
    at, class_pk = page_moment(request), request.GET.get("class", "")
    machine_state = at_machine(request.user, machine, at, int(class_pk) if class_pk.isdecimal() else None)
    tapped = [] if refusals else request.POST.getlist("student")
    rows = [
        {
            "student": student,
            "word": word_of(student, at),
            "signed": machine_state.just_signed.get(student.pk),
            "last": machine_state.tries.get(student.pk),
            "tapped": str(student.pk) in tapped,
        }
        for student in machine_state.ready_by_name
    ]
    refused = [(machine_state.called.get(s.pk, s.name), sentence) for s, sentence in refusals.items()]
    context = {"machine": machine, "state": machine_state, "form": form, "rows": rows, "watched": watched}
    context |= {"refused": refused, "most": MOST_IN_GROUP, "tap_form": SignOffForm()}
    context["is_done"] = all(row["signed"] for row in rows)
    status = 409 if refusals else status_of(form)
    return render(request, "machines/sign_offs/group.html", context, status=status)
