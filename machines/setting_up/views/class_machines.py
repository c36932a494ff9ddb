"""The machines of a class: its teacher checks the types that the class uses."""

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from machines.setting_up.acts.class_machines import set_class_machines
from machines.setting_up.forms.machines import ClassMachinesForm
from machines.setting_up.queries.machines import kinds_in_shop
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.clock import page_moment
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.refused_on import refused_on, status_of


@role("teacher", "office")
@require_http_methods(["GET", "HEAD", "POST"])
def class_machines(request: SignedInRequest, section: int) -> HttpResponse:
    of = access.own_section_for(request.user, section)
    rows, chosen = kinds_in_shop(of, page_moment(request))
    form: forms.Form = ClassMachinesForm(request.POST if request.method == "POST" else None, kinds=rows, chosen=chosen)
    if form.is_bound and form.is_valid():
        with refused_on(form, "kinds"):
            set_class_machines(section=of, kinds=list(form.cleaned_data["kinds"]), by=request.user)
            messages.success(request, _("Machines of {section} saved.", section=of.name))
            return redirect("class-people", section)
    context = {"section": of, "form": form}
    return render(request, "machines/setting_up/class_machines.html", context, status=status_of(form))
