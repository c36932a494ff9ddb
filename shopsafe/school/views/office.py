"""The office: terms, shops, classes, and the people who teach."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from shopsafe.school import access, queries
from shopsafe.school.acts import set_up
from shopsafe.school.forms import SectionForm, ShopForm, StaffForm, TeachersForm, TermForm
from shopsafe.school.guards import Signed, role
from shopsafe.school.ordering import in_order
from shopsafe.school.refused_on import refused_on, status_of


@role("office")
@require_GET
def office(request: Signed) -> HttpResponse:
    context = {
        "terms": access.terms_for(request.user),
        "shops": in_order(access.shops_for(request.user).prefetch_related("teachers")),
        "sections": queries.sections_with_counts(request.user, "teachers"),
        "staff": access.staff_for(request.user),
    }
    return render(request, "school/office/office.html", context)


@role("office")
@require_http_methods(["GET", "POST"])
def term_add(request: Signed) -> HttpResponse:
    return _filled_in(request, TermForm(_sent(request)), set_up.add_term, "Add a term")


@role("office")
@require_http_methods(["GET", "POST"])
def term_change(request: Signed, term: int) -> HttpResponse:
    of = access.one_of(access.terms_for(request.user), pk=term)
    start = {"name": of.name, "first_day": of.first_day, "last_day": of.last_day}
    return _filled_in(
        request, TermForm(_sent(request), initial=start), set_up.change_term, f"Change {of.name}", term=of
    )


@role("office")
@require_http_methods(["GET", "POST"])
def shop_add(request: Signed) -> HttpResponse:
    return _filled_in(request, ShopForm(_sent(request), by=request.user), set_up.add_shop, "Add a shop")


@role("office")
@require_http_methods(["GET", "POST"])
def class_add(request: Signed) -> HttpResponse:
    return _filled_in(request, SectionForm(_sent(request), by=request.user), set_up.add_section, "Add a class")


@role("office")
@require_http_methods(["GET", "POST"])
def staff_add(request: Signed) -> HttpResponse:
    return _filled_in(request, StaffForm(_sent(request), by=request.user), set_up.add_staff, "Add a teacher")


@role("office")
@require_http_methods(["GET", "POST"])
def class_teachers(request: Signed, section: int) -> HttpResponse:
    of = access.section_for(request.user, section)
    form = TeachersForm(_sent(request), by=request.user, initial={"teachers": of.teachers.all()})
    return _filled_in(request, form, set_up.set_teachers, f"Teachers of {of.name}", section=of)


def _sent(request: Signed) -> Any:
    return request.POST if request.method == "POST" else None


def _filled_in(request: Signed, form: forms.Form, act: Callable[..., Any], title: str, **fixed: Any) -> HttpResponse:
    """The form, until the act takes what is in it."""
    if form.is_bound and form.is_valid():
        with refused_on(form):
            act(**form.cleaned_data, **fixed, by=request.user, at=timezone.now())
            messages.success(request, f"{form.cleaned_data.get('name', title)}: kept.")
            return redirect("office")
    context = {"form": form, "title": title}
    return render(request, "school/office/fill_in.html", context, status=status_of(form))
