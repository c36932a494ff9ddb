"""The office: terms, shops, classes, and the people who teach."""

from collections.abc import Callable
from functools import partial
from typing import Any

from django import forms
from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shopsafe.language.messages import _, marked
from shopsafe.school import access
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import page_moment
from shopsafe.school.jobs.queries import job_lines
from shopsafe.school.models import Person, Term
from shopsafe.school.naming.rules.ordering import in_order, people_in_order
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.name_field import warn_of_look_alikes
from shopsafe.school.pages.refused_on import refused_on, status_of
from shopsafe.school.people.acts import staff
from shopsafe.school.people.queries import may_add_a_class, sections_with_counts
from shopsafe.school.places.acts import set_up
from shopsafe.school.places.forms import (
    ConventionsForm,
    IdleForm,
    NameForm,
    OwnSectionForm,
    SectionForm,
    ShopForm,
    StaffForm,
    TeachersForm,
    TermForm,
)
from shopsafe.school.places.queries import overlapping, school_facts, term_at
from shopsafe.school.places.rules import missing
from shopsafe.school.signing_in.forms import PasswordForm
from shopsafe.school.signing_in.sessions.lifetime import begin_session
from shopsafe.school.templatetags.drawing import day

SAVE = marked("Save")


@role("office")
@require_GET
def office(request: SignedInRequest) -> HttpResponse:
    at = page_moment(request)
    today = local_day(at, request.user.school.time_zone)
    everybody = people_in_order(access.staff_ever_for(request.user).prefetch_related("shops"))
    sections = sections_with_counts(request.user, "teachers")
    context = {
        "missing": missing(school_facts(request.user, sections, today), today),
        "jobs": job_lines(at),
        "needs": reverse("office-needs"),
        "retention": reverse("retention"),
        "incidents": reverse("incident-settings"),
        "terms": access.terms_for(request.user),
        "shops": in_order(access.shops_for(request.user).prefetch_related("teachers")),
        "sections": sections,
        "staff": [staff_member for staff_member in everybody if staff_member.is_active],
        "ended": [staff_member for staff_member in everybody if not staff_member.is_active],
    }
    return render(request, "school/office/office.html", context)


@role("office")
@require_http_methods(["GET", "POST"])
def term_add(request: SignedInRequest) -> HttpResponse:
    return _filled_in(request, TermForm(_sent(request)), set_up.add_term, _("Add a term"), message=_term_kept)


@role("office")
@require_http_methods(["GET", "POST"])
def term_change(request: SignedInRequest, term: int) -> HttpResponse:
    of = access.one_of(access.terms_for(request.user), pk=term)
    start = {"name": of.name, "first_day": of.first_day, "last_day": of.last_day}
    form = TermForm(_sent(request), initial=start)
    return _filled_in(
        request, form, set_up.change_term, _("Change {name}", name=of.name), SAVE, message=_term_kept, term=of
    )


def _term_kept(term: Term) -> str:
    """Terms of two shops may overlap, and a slip in a date makes them overlap too."""
    others = overlapping(term)
    if not others:
        return _("{term}: kept.", term=term.name)
    spans = "; ".join(
        _(
            "{term}, {first_day} to {last_day}",
            term=other_term.name,
            first_day=day(other_term.first_day),
            last_day=day(other_term.last_day),
        )
        for other_term in others
    )
    return _(
        "{term}: kept. It shares days with {spans}. If that is not meant, change the days.", term=term.name, spans=spans
    )


@role("office")
@require_http_methods(["GET", "POST"])
def shop_add(request: SignedInRequest) -> HttpResponse:
    return _filled_in(request, ShopForm(_sent(request), by=request.user), set_up.add_shop, _("Add a shop"))


@role("office")
@require_http_methods(["GET", "POST"])
def shop_rename(request: SignedInRequest, shop: int) -> HttpResponse:
    of = access.shop_for(request.user, shop)
    form = NameForm(_sent(request), initial={"name": of.name})
    return _filled_in(request, form, set_up.rename_shop, _("Rename {name}", name=of.name), SAVE, shop=of)


@role("teacher", "office")
@require_http_methods(["GET", "POST"])
def class_add(request: SignedInRequest) -> HttpResponse:
    """Of the office for any teachers, of a teacher for the teacher's own."""
    if not may_add_a_class(request.user):
        raise Http404
    term = term_at(request.user, local_day(page_moment(request), request.user.school.time_zone))
    if request.user.is_office:
        form = SectionForm(_sent(request), by=request.user, initial={"term": term})
        return _filled_in(request, form, set_up.add_section, _("Add a class"))
    form = OwnSectionForm(_sent(request), by=request.user, initial={"term": term})
    own = partial(set_up.add_section, teachers=[request.user])
    return _filled_in(request, form, own, _("Add a class that you teach"), _("Add the class"), onward="people")


@role("office")
@require_http_methods(["GET", "POST"])
def shop_teachers(request: SignedInRequest, shop: int) -> HttpResponse:
    of = access.shop_for(request.user, shop)
    form = TeachersForm(_sent(request), by=request.user, initial={"teachers": of.teachers.all()})
    return _filled_in(request, form, set_up.set_shop_teachers, _("Teachers of {name}", name=of.name), SAVE, shop=of)


@role("office")
@require_http_methods(["GET", "POST"])
def class_rename(request: SignedInRequest, section: int) -> HttpResponse:
    of = access.section_for(request.user, section)
    form = NameForm(_sent(request), initial={"name": of.name})
    return _filled_in(request, form, set_up.rename_section, _("Rename {name}", name=of.name), SAVE, section=of)


@role("office")
@require_http_methods(["GET", "POST"])
def class_teachers(request: SignedInRequest, section: int) -> HttpResponse:
    of = access.section_for(request.user, section)
    form = TeachersForm(_sent(request), by=request.user, initial={"teachers": of.teachers.all()})
    return _filled_in(request, form, set_up.set_teachers, _("Teachers of {name}", name=of.name), SAVE, section=of)


@role("office")
@require_http_methods(["GET", "POST"])
def staff_add(request: SignedInRequest) -> HttpResponse:
    title, form = _("Add a person who teaches or keeps the office"), StaffForm(_sent(request), by=request.user)
    return _filled_in(request, form, set_up.add_staff, title, _("Add this person"), message=_signs_in_as)


@role("office")
@require_http_methods(["GET", "POST"])
def idle_minutes(request: SignedInRequest) -> HttpResponse:
    school = request.user.school
    start = {"minutes_student": school.idle_minutes_student, "minutes_staff": school.idle_minutes_staff}
    form = IdleForm(_sent(request), initial=start)
    return _filled_in(
        request, form, set_up.set_idle_minutes, _("Signing out after no use"), SAVE, message=lambda _saved: _("Saved.")
    )


@role("office")
@require_http_methods(["GET", "POST"])
def conventions(request: SignedInRequest) -> HttpResponse:
    form = ConventionsForm(_sent(request), initial={"conventions": request.user.school.conventions})
    return _filled_in(
        request, form, set_up.set_conventions, _("Dates, times and paper"), SAVE, message=lambda _saved: _("Saved.")
    )


def _warn_without_shop(request: SignedInRequest, saved: Any) -> None:
    """A teacher of no shop opens an empty program: said to the office at once."""
    if isinstance(saved, Person) and saved.is_teacher and not saved.shops.exists():
        fix = _("Add this teacher to a class, or to the teachers of a shop.")
        messages.warning(
            request,
            _("{name} teaches in no shop yet and sees no class and no machine. {fix}", name=saved.name, fix=fix),
        )


def _signs_in_as(person: Person) -> str:
    return _(
        "{name}: kept. The name to sign in with is {sign_in_name}.", name=person.name, sign_in_name=person.sign_in_name
    )


@role("office")
@require_http_methods(["GET", "POST"])
def staff_password(request: SignedInRequest, person: int) -> HttpResponse:
    who = access.one_of(access.staff_for(request.user), pk=person)

    def message(changed: Person) -> str:
        if changed == request.user:  # or the office would be signed out of the page it is on
            begin_session(request, changed)
        return _(
            "{name} has a new password, and signs in as {sign_in_name}.",
            name=changed.name,
            sign_in_name=changed.sign_in_name,
        )

    title = _("New password for {name}", name=who.name)
    return _filled_in(
        request, PasswordForm(_sent(request)), staff.set_password, title, SAVE, message=message, person=who
    )


@role("office")
@require_http_methods(["GET", "POST"])
def staff_end(request: SignedInRequest, person: int) -> HttpResponse:
    """Asked first; a refusal is on the page that asked."""
    who, form = access.one_of(access.staff_for(request.user), pk=person), forms.Form(_sent(request))
    if request.method == "POST":
        with refused_on(form):
            staff.end_access(person=who, by=request.user)
            messages.success(request, _("{name} can't sign in any more. Everything recorded stays.", name=who.name))
            return redirect("office")
    context = {"person": who, "form": form}
    return render(request, "school/office/staff_end.html", context, status=status_of(form))


@role("office")
@require_POST
def staff_let_in(request: SignedInRequest, person: int) -> HttpResponse:
    who = access.one_of(access.staff_ever_for(request.user), pk=person)
    staff.let_in_again(person=who, by=request.user)
    messages.success(
        request,
        _(
            "{name} may sign in again, as {sign_in_name}, with the previous password.",
            name=who.name,
            sign_in_name=who.sign_in_name,
        ),
    )
    return redirect("office")


def _sent(request: SignedInRequest) -> Any:
    return request.POST if request.method == "POST" else None


def _filled_in(
    request: SignedInRequest,
    form: forms.Form,
    act: Callable[..., Any],
    title: str,
    button: str = "",
    *,
    message: Callable[[Any], str] | None = None,
    onward: str = "office",
    **fixed: Any,
) -> HttpResponse:
    """The form, until the act takes what is in it. `message` says so of what the act returns; `button`: else the title;
    `onward` names the page before and after."""
    if form.is_bound and form.is_valid():
        with refused_on(form):
            done = act(**form.cleaned_data, **fixed, by=request.user)
            messages.success(
                request, message(done) if message else _("{name}: kept.", name=form.cleaned_data.get("name", title))
            )
            warn_of_look_alikes(request, form.cleaned_data.get("name", ""))
            _warn_without_shop(request, done)
            return redirect(onward)
    context = {"form": form, "title": title, "button": _(button) if button else title, "back": onward}
    return render(request, "school/office/fill_in.html", context, status=status_of(form))
