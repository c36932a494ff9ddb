"""Shop setup: from an empty installation to cards on the wall, in five steps that each save and can each wait."""

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from machines.setting_up.acts.kinds import load_kinds
from machines.setting_up.forms.first_run import BeginForm, FirstShopForm, first_days
from machines.setting_up.queries.first_run import first_run_of
from quizzes.banks.editions.starter_banks import load_shelf
from shopsafe.language.messages import _
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import page_moment
from shopsafe.school.lookup import has_school
from shopsafe.school.models import Person
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.name_field import warn_of_look_alikes
from shopsafe.school.pages.refused_on import refused_on, status_of
from shopsafe.school.places.acts.founding import begin_school
from shopsafe.school.places.acts.set_up import begin_shop
from shopsafe.school.signing_in.sessions.lifetime import begin_session

FIELD = {
    "begin.code": "setup_code",
    "begin.same-name": "office_name",
    "begin.same-password": "office_password",
    "begin.weak-password": "teacher_password",
    "school.weak-password": "office_password",
}


@role("teacher", "office")
@require_safe
def first_run(request: SignedInRequest) -> HttpResponse:
    """The five steps, what is done and what is next."""
    run = first_run_of(request.user, page_moment(request))
    request.session["first_run"] = bool(run.next)
    return render(request, "machines/setting_up/first_run/first_run.html", {"run": run, "states": run.states})


@login_not_required
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def begin(request: HttpRequest) -> HttpResponse:
    """Who has the setup code begins the school, with the banks of the shelf, for practice only."""
    if has_school():
        return redirect("home")
    form = BeginForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        with refused_on(form, FIELD):
            teacher = begin_school(**form.cleaned_data)
            _fill(teacher)
            begin_session(request, teacher)
            return redirect("first-run")
    return render(request, "machines/setting_up/first_run/begin.html", {"form": form}, status=status_of(form))


def _fill(teacher: Person) -> None:
    """The ready-made banks and their kinds of machine; `manage.py shelf` makes up for it should this be cut short."""
    load_shelf(school=teacher.school, shelf=settings.SHELF)
    load_kinds(school=teacher.school, by=None)


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def shop(request: SignedInRequest) -> HttpResponse:
    """Step 1: the room, the term, the first class."""
    today = local_day(page_moment(request), request.user.school.time_zone)
    if request.method != "POST" and first_run_of(request.user, page_moment(request)).shops_in_school:
        return redirect("first-run")
    form = FirstShopForm(request.POST or None, initial=first_days(today))
    if request.method == "POST" and form.is_valid():
        with refused_on(form, {"begin.term-over": "last_day", "term.too-long": "last_day"}):
            section = begin_shop(**form.cleaned_data, by=request.user)
            messages.success(request, _("{shop} and {section}: kept.", shop=section.shop.name, section=section.name))
            warn_of_look_alikes(request, section.shop.name, section.name)
            return redirect("first-run")
    return render(request, "machines/setting_up/first_run/shop.html", {"form": form}, status=status_of(form))


@role("teacher")
@require_safe
def rules(request: SignedInRequest) -> HttpResponse:
    """Step 4: every bank that waits to be read and accepted, in one sitting; then back to the steps."""
    waiting = first_run_of(request.user, page_moment(request)).unread
    if not waiting:
        return redirect("first-run")
    query = {"bank": [bank.pk for bank in waiting], "next": reverse("first-run")}
    return redirect(reverse("banks-accept", query=query))
