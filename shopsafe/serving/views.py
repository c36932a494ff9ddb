"""The page for a request that failed on our side."""

import sys

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views import defaults

from shopsafe.language.messages import _, marked
from shopsafe.serving.environ import LAST_TRY, TRY_AGAIN, WRITES_BEFORE
from shopsafe.serving.trouble import Trouble, trouble_of, writes_so_far

PAGES = {
    Trouble.BUSY: (
        marked("The database is busy"),
        marked(
            "Something else is writing to it for longer than usual. Wait a minute, then try again. If you "
            "sent something, look first whether it was saved."
        ),
    ),
    Trouble.FULL: (
        marked("The disk of the server is full"),
        marked(
            "Nothing can be saved now. Everything marked “Saved” is saved. Tell the person who runs the "
            "server to make room."
        ),
    ),
    Trouble.AWAY: (
        marked("The database cannot be reached"),
        marked("Everything marked “Saved” is saved. Tell the person who runs the server."),
    ),
}


def server_error(request: HttpRequest) -> HttpResponse:
    """503 and what to do where the database or the disk is the reason, else Django's page. Either is in the log."""
    trouble = trouble_of(sys.exception())
    if trouble is None:
        return defaults.server_error(request)
    if trouble is Trouble.BUSY and may_be_tried_again(request):
        request.META[TRY_AGAIN] = True
        response = HttpResponse(status=503)
        response._has_been_logged = True  # type: ignore[attr-defined]
        return response
    heading, sentence = PAGES[trouble]
    response = render(None, "unavailable.html", {"heading": _(heading), "sentence": _(sentence)}, status=503)
    response.headers["Retry-After"] = "60"
    response.headers["Cache-Control"] = "no-store"
    return response


def may_be_tried_again(request: HttpRequest) -> bool:
    """Return True if the front can ask once more, and this request has written nothing yet."""
    before = request.META.get(WRITES_BEFORE)
    return not request.META.get(LAST_TRY, True) and before is not None and before == writes_so_far()
