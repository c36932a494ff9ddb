"""A teacher at the tablet: sign off, undo, withdraw."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_http_methods, require_POST

from machines.clearance.records import machine_for, sign_offs_for
from machines.sign_offs import acts
from machines.sign_offs.forms import SignOffForm, WithdrawForm
from machines.sign_offs.queries import last_tries, points_of
from machines.sign_offs.views.machines import machine_page
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.clock import page_moment
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.middleware import wants_json
from shopsafe.school.pages.refused_on import refused_on, sentence_of, status_of
from shopsafe.school.people.classes import section_with
from shopsafe.school.people.names_in_class import short_name_in_shop
from shopsafe.school.signing_in.codes.check_word_today import word_of


@gzip_page
@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def sign_off(request: SignedInRequest, machine: int, student: int) -> HttpResponse:
    """One student at one machine: each point ticked, then signed off."""
    at = page_moment(request)
    stored_machine, person = machine_for(request.user, machine), access.student_for(request.user, student)
    form, ticked = SignOffForm(request.POST or None), request.POST.getlist("point")
    if request.method == "POST":
        with refused_on(form):
            access.allow(request.user, acts.DEED, shop=stored_machine.shop)
            if form.is_valid():
                tap = form.cleaned_data["tap"]
                acts.sign_off(student=person, machine=stored_machine, by=request.user, ticked=ticked, tap=tap)
                if "group" not in request.POST:  # a row of its page says it
                    who = short_name_in_shop(request.user, person, stored_machine.shop_id, at)
                    messages.success(
                        request, _("Signed off {student} on {machine}.", student=who, machine=stored_machine.spoken)
                    )
                return redirect(back_to_machine(request, stored_machine.pk))
    if form.errors and wants_json(request):
        return sentence_of(form)
    last = last_tries([person.pk], stored_machine, at).get(person.pk)
    chosen = {"student": person, "word": word_of(person, at), "form": form, "ticked": ticked, "last": last}
    chosen["points"] = points_of(stored_machine, last)
    if stop := acts.stopped(student=person, machine=stored_machine, at=at):
        chosen |= {"stop": stop, "section": section_with(request.user, person, stored_machine.shop_id, at)}
    return machine_page(request, stored_machine, at, status_of(form), **chosen)


def back_to_machine(request: SignedInRequest, machine: int) -> str:
    """The machine's page, narrowed to the class that the teacher came from."""
    section = request.GET.get("class", "")
    return reverse("machine", args=[machine]) + (f"?class={section}" if section.isdecimal() else "")


@role("teacher")
@require_POST
def sign_off_undo(request: SignedInRequest, sign_off: int) -> HttpResponse:
    row = access.one_of(sign_offs_for(request.user), pk=sign_off)
    at = page_moment(request)
    acts.undo_sign_off(sign_off=row, by=request.user)
    who = short_name_in_shop(request.user, row.student, row.machine.shop_id, at)
    messages.success(
        request, _("Undone: {student} is not signed off on {machine}.", student=who, machine=row.machine.spoken)
    )
    return redirect("machine", row.machine_id)


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def sign_off_withdraw(request: SignedInRequest, sign_off: int) -> HttpResponse:
    row = access.one_of(sign_offs_for(request.user), pk=sign_off)
    form, at = WithdrawForm(request.POST or None), page_moment(request)
    if request.method == "POST" and form.is_valid():
        with refused_on(form):
            acts.withdraw_sign_off(sign_off=row, by=request.user, **form.cleaned_data)
            who = short_name_in_shop(request.user, row.student, row.machine.shop_id, at)
            messages.success(
                request,
                _(
                    "Withdrawn: {student} is not signed off on {machine} any more.",
                    student=who,
                    machine=row.machine.spoken,
                ),
            )
            return redirect("machine", row.machine_id)
    return render(request, "machines/sign_offs/withdraw.html", {"row": row, "form": form}, status=status_of(form))
