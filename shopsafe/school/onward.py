"""Where a page goes on to once its form is done: the page that sent us here, if it is one of ours."""

from django.http import HttpRequest
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme


def onward(request: HttpRequest, otherwise: str, *args: object) -> str:
    """The address in `?next=`, as long as it leads nowhere else; or that of the page called `otherwise`."""
    wanted = request.GET.get("next", "")
    safe = url_has_allowed_host_and_scheme(wanted, {request.get_host()}, request.is_secure())
    return wanted if safe else reverse(otherwise, args=args)
