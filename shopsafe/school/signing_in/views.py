"""Signing in and out, and the way to one's own first page."""

from django.contrib.auth import logout
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shopsafe.act import server_time
from shopsafe.school.lookup import has_school
from shopsafe.school.pages.after_sign_in import in_mid_quiz, lead_to, onward
from shopsafe.school.pages.context import PLACES
from shopsafe.school.pages.middleware import wants_json
from shopsafe.school.pages.refused_on import refused_on, status_of
from shopsafe.school.signing_in import acts
from shopsafe.school.signing_in.codes.devices import device_of, give_number
from shopsafe.school.signing_in.codes.tries import clear_old_wrong_codes
from shopsafe.school.signing_in.forms import SignInForm
from shopsafe.school.signing_in.sessions.lifetime import begin_session, clear_ended_sessions


@login_not_required
@never_cache
@require_http_methods(["GET", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """`?name=` comes from a slip's code: it fills the name in and proves nothing."""
    if request.method == "GET" and not has_school():
        return redirect("first-run-begin")
    form = SignInForm(request.POST or None, initial={"name": request.GET.get("name", "")[:140]})
    if request.method == "POST" and form.is_valid():
        with refused_on(form, "code"):
            person = acts.sign_in(**form.cleaned_data, device=device_of(request))
            clear_ended_sessions(server_time())
            clear_old_wrong_codes(server_time())
            begin_session(request, person)
            return lead_to(onward(request, "home"))
    if form.errors and wants_json(request):
        return JsonResponse({"sentence": next(iter(form.errors.values()))[0]}, status=status_of(form))
    context = {"form": form, "signed_out": in_mid_quiz(request)}
    return give_number(request, render(request, "school/sign_in.html", context, status=status_of(form)))


@login_not_required
@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """A page whose browser holds an unsaved answer sends `waiting`: that answer must outlive the sign-out."""
    logout(request)
    response = redirect("sign-in")
    response.headers["Clear-Site-Data"] = '"cache"' if "waiting" in request.POST else '"cache", "storage"'
    return response


@require_POST
def stay(request: HttpRequest) -> HttpResponse:
    """A page says that it is in use, say by typing: its request is noted like any other."""
    return HttpResponse(status=204)


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """The first place of the person's role."""
    return redirect(PLACES[request.user.role][0][1])
