"""Type size, spacing and colors, for the reader at this browser."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from shopsafe.school.pages.forms import LookForm
from shopsafe.school.reading import look as rules

A_YEAR = 365 * 24 * 60 * 60


@login_not_required
@require_http_methods(["GET", "POST"])
def look(request: HttpRequest) -> HttpResponse:
    form = LookForm(request.POST or None, initial=rules.from_cookie(request.COOKIES.get(rules.COOKIE, "")))
    if request.method == "POST" and form.is_valid():
        response = redirect("look")
        response.set_cookie(
            rules.COOKIE, rules.as_cookie(form.cleaned_data), max_age=A_YEAR, samesite="Lax", httponly=True
        )
        return response
    return render(request, "school/look.html", {"form": form}, status=422 if form.errors else 200)
