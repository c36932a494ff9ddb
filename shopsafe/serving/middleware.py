"""Notes where a request begins, and makes the page for one whose body was not taken: what happened, what to do."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from shopsafe.language.messages import _, marked
from shopsafe.serving.bodies import CROWDED, LARGE, LATE, MEGABYTE, NO_LENGTH, REFUSALS, Limits
from shopsafe.serving.environ import OTHERS_WAIT, REFUSED_BODY, WRITES_BEFORE
from shopsafe.serving.trouble import without_waiting, writes_so_far

LIMITS = Limits()
SENTENCES = {
    LATE: (
        marked("This form did not arrive"),
        marked(
            "The connection was too slow: the form did not arrive within {seconds} seconds. Nothing was saved."
            " Go back and try again."
        ),
    ),
    LARGE: (
        marked("This file is too large"),
        marked("One upload can have {megabytes} MB at most. Nothing was saved. Choose a smaller file."),
    ),
    NO_LENGTH: (
        marked("This form came without its length"),
        marked(
            "Nothing was saved. Try another browser. If it fails again, tell the person who runs the server: "
            "a proxy must pass on Content-Length."
        ),
    ),
    CROWDED: (
        marked("Too many large files at this moment"),
        marked("Nothing was saved. Wait a minute, then try again."),
    ),
}


class FrontMiddleware:
    """The application's side of what the front does."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.META[WRITES_BEFORE] = writes_so_far()
        reason = request.META.get(REFUSED_BODY)
        if reason is None and request.META.get(OTHERS_WAIT):
            with without_waiting():
                return self.get_response(request)
        if reason is None:
            return self.get_response(request)
        heading, sentence = SENTENCES[reason]
        limits = {"seconds": f"{LIMITS.seconds:.0f}", "megabytes": LIMITS.largest // MEGABYTE}
        status = REFUSALS[reason]
        response = render(
            None, "body_refused.html", {"heading": _(heading), "sentence": _(sentence, **limits)}, status=status
        )
        response.headers["Cache-Control"] = "no-store"
        if reason == CROWDED:
            response.headers["Retry-After"] = "60"
        return response
