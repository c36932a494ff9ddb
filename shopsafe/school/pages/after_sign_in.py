"""Where a page goes on to once its form is done: the page that sent us here, if it is one of ours."""

from urllib.parse import urlsplit

from django.http import HttpRequest
from django.urls import Resolver404, resolve, reverse
from django.utils.http import url_has_allowed_host_and_scheme

LED_TO = "led_to"  # in the session: where signing in went on to


def onward(request: HttpRequest, otherwise: str, *args: object) -> str:
    """The address in `?next=`, as long as it leads nowhere else and not out again; or that of the page `otherwise`."""
    wanted = request.GET.get("next", "")
    safe = url_has_allowed_host_and_scheme(wanted, {request.get_host()}, request.is_secure())
    return wanted if safe and not _leads_out(wanted) else reverse(otherwise, args=args)


def _leads_out(wanted: str) -> bool:
    try:
        return resolve(urlsplit(wanted).path).url_name in ("sign-in", "sign-out", "stay")
    except Resolver404:
        return False


def in_mid_quiz(request: HttpRequest) -> bool:
    """Whether `?next=` leads into an attempt: only its student was there, and must have been signed out."""
    try:
        return "attempt" in resolve(urlsplit(request.GET.get("next", "")).path).kwargs
    except Resolver404:
        return False


def first_after_sign_in(request: HttpRequest) -> bool:
    """Whether this is the page that signing in led on to. Asked of every page: later ones are pages like any other."""
    if request.method != "GET" or LED_TO not in request.session:  # or every page would write the session
        return False
    return bool(request.session.pop(LED_TO) == request.get_full_path())
