"""A teacher, substitute or person of the office changes the own password."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from shopsafe.language.messages import _
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.refused_on import refused_on, status_of
from shopsafe.school.signing_in.acts import change_password
from shopsafe.school.signing_in.codes.devices import device_of
from shopsafe.school.signing_in.forms import OwnPasswordForm
from shopsafe.school.signing_in.sessions.lifetime import begin_session

AT_FIELD = {"password.weak": "password", "password.wrong": "current", "sign-in.device-locked": "current"}


@role("teacher", "substitute", "office")
@require_http_methods(["GET", "POST"])
def password_change(request: SignedInRequest) -> HttpResponse:
    form = OwnPasswordForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        with refused_on(form, AT_FIELD):
            current, password = form.cleaned_data["current"], form.cleaned_data["password"]
            changed = change_password(
                person=request.user, current=current, password=password, device=device_of(request)
            )
            begin_session(request, changed)  # every sign-in has ended, this one too
            messages.success(request, _("Your password is changed. Wherever else you were signed in, that has ended."))
            return redirect("home")
    return render(request, "school/password_change.html", {"form": form}, status=status_of(form))
