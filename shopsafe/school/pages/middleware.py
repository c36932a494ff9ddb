"""What every request passes: refusals become pages and carry our mark, and no signed-in page stays in a cache."""

from collections.abc import Callable

from django.contrib.auth.views import redirect_to_login
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.urls import reverse

from shopsafe.conventions import Conventions, conventions_in_use
from shopsafe.paper.press.render import PrintFailed
from shopsafe.school.models import Person
from shopsafe.school.pages.after_sign_in import page_after_sign_in
from shopsafe.school.refusals import Refused

# A script lets go of an entered answer only after a response with this header. A proxy, a web filter or a network's
# sign-in page answers with the same statuses, and never with the header.
REFUSAL = "Shopsafe-Refusal"
CODES = {401: "signed-out", 403: "form-expired", 404: "not-found", 409: "refused", 422: "refused"}


LARGEST_KEY = 2**63 - 1

# A page that asks by itself says so: a laptop that no one sits at does not stay signed in by it.
BY_ITSELF = "Shopsafe-By-Itself"


def wants_json(request: HttpRequest) -> bool:
    """Whether a script of ours asks. It can't follow a redirect without losing what the next page would say."""
    return request.headers.get("Accept") == "application/json"


class SchoolMiddleware:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        with conventions_in_use(lambda: _conventions_of(request)):
            response = self.get_response(request)
        if response.status_code in CODES and _is_gone(request):
            response = redirect_to_login(request.get_full_path(), reverse("sign-in"))
        if wants_json(request) and response.status_code == 302:
            response = _without_redirect(request, response)
        if BY_ITSELF in request.headers and response.status_code == 302:
            response = HttpResponse(
                status=204
            )  # signed out in the meantime: the sign-in page must not stand inside a page
        if request.user.is_authenticated:
            response = page_after_sign_in(request, response)
            # A shared laptop: the back button after signing out must show nothing of the one before.
            response.headers.setdefault("Cache-Control", "no-store")
        if code := CODES.get(response.status_code):
            response.headers.setdefault(REFUSAL, code)
        return response

    def process_view(self, request: HttpRequest, view: object, args: object, kwargs: dict[str, object]) -> None:
        """A number that no database can hold names nothing: the engines would refuse the query, each in its own way."""
        if any(isinstance(value, int) and value > LARGEST_KEY for value in kwargs.values()):
            raise Http404

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        if not isinstance(error, (Refused, PrintFailed)):
            return None
        if wants_json(request):
            response: HttpResponse = JsonResponse({"sentence": error.sentence}, status=error.status)
        else:
            response = render(request, "school/refused.html", {"refusal": error}, status=error.status)
        response.headers[REFUSAL] = error.code
        return response


def _is_gone(request: HttpRequest) -> bool:
    """Whether the person who asks was removed after the request began: a later request is sent to the sign-in page."""
    return request.user.is_authenticated and not Person.objects.filter(pk=request.user.pk).exists()


def _conventions_of(request: HttpRequest) -> str:
    """Of the school of the person who asks; before anyone has signed in, those of the United States."""
    return request.user.school.conventions if request.user.is_authenticated else Conventions.UNITED_STATES


def _without_redirect(request: HttpRequest, response: HttpResponse) -> HttpResponse:
    """The address that a page would be sent to, as JSON; 401 where that is the sign-in page."""
    if not request.user.is_authenticated:
        return JsonResponse({}, status=401)
    return JsonResponse({"onward": response.headers["Location"]})
