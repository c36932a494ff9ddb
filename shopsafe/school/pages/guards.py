"""Decorators that stand first on a view: who may see it at all. Anyone else gets the 404 of a page that isn't there."""

from collections.abc import Callable
from functools import wraps

from django.http import Http404, HttpRequest, HttpResponseBase

from shopsafe.school.models import Person


class SignedInRequest(HttpRequest):
    """A request of someone who is signed in: what a guarded view is handed."""

    user: Person


type View = Callable[..., HttpResponseBase]


def role(*roles: str) -> Callable[[View], View]:
    """Let only these roles in: `@role("teacher", "office")`."""

    def guard(view: View) -> View:
        @wraps(view)
        def guarded(request: HttpRequest, *args: object, **kwargs: object) -> HttpResponseBase:
            if request.user.is_authenticated and request.user.role in roles:
                return view(request, *args, **kwargs)
            raise Http404

        return guarded

    return guard
