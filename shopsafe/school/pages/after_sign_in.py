"""Where a page goes on to once its form is done: the page that sent us here, if it is one of ours."""

from urllib.parse import quote, unquote, urlsplit

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import Resolver404, resolve, reverse
from django.utils.http import url_has_allowed_host_and_scheme

LED_TO = "led-to"  # a cookie: where signing in went on to. The session would be written again for it
LED_FOR = 60  # seconds


def onward(request: HttpRequest, otherwise: str, *args: object) -> str:
    """The address in `?next=`, as long as it leads nowhere else and not out again; or that of the page `otherwise`."""
    next_url = request.GET.get("next", "")
    safe = url_has_allowed_host_and_scheme(next_url, {request.get_host()}, request.is_secure())
    return next_url if safe and not _leads_out(next_url) else reverse(otherwise, args=args)


def _leads_out(next_url: str) -> bool:
    try:
        return resolve(urlsplit(next_url).path).url_name in ("sign-in", "sign-out", "stay")
    except Resolver404:
        return False


def in_mid_quiz(request: HttpRequest) -> bool:
    """Whether `?next=` leads into an attempt: only its student was there, and must have been signed out."""
    try:
        return "attempt" in resolve(urlsplit(request.GET.get("next", "")).path).kwargs
    except Resolver404:
        return False


def lead_to(address: str) -> HttpResponse:
    """The answer to a sign-in."""
    response = redirect(address)
    response.set_cookie(LED_TO, quote(address), LED_FOR, secure=settings.HTTPS, httponly=True, samesite="Lax")
    return response


def page_after_sign_in(request: HttpRequest, response: HttpResponse) -> HttpResponse:
    """The answer to the first page after a sign-in. Asked of every page: later ones are answered as they are.

    Where signing in led to the page of the person who sat here before, or to no page at all but a form that was sent,
    a person who has just signed in begins at their own first page.
    """
    if request.method != "GET" or LED_TO not in request.COOKIES:
        return response
    is_first = unquote(request.COOKIES[LED_TO]) == request.get_full_path()
    if is_first and response.status_code in (404, 405):
        response = redirect("home")
    response.delete_cookie(LED_TO, samesite="Lax")
    return response
