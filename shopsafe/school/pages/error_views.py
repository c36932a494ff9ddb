"""The pages for what went wrong."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def csrf_failed(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A form from before a sign-out, or from someone else's session."""
    return render(request, "school/form_expired.html", status=403)
