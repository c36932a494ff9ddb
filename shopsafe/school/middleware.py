"""What every request passes: refusals become pages, and nothing of a signed-in page stays in a cache."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from shopsafe.paper.render import PrintFailed
from shopsafe.school.onward import first_after_sign_in
from shopsafe.school.refusals import Refused


class SchoolMiddleware:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        if request.user.is_authenticated:
            if first_after_sign_in(request) and response.status_code == 404:
                # The page of whoever sat here before: who has just signed in begins at their own first page.
                response = redirect("home")
            # A shared laptop: the back button after signing out must show nothing of the one before.
            response.headers.setdefault("Cache-Control", "no-store")
        return response

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        if not isinstance(error, (Refused, PrintFailed)):
            return None
        return render(request, "school/refused.html", {"refusal": error}, status=error.status)
