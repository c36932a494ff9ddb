"""Today: the class that a teacher has now, and what a substitute needs to know."""

from datetime import datetime

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from machines.floor.showing.hour_card import card_today, open_cards, section_open_for
from machines.prints.sheets.substitute_day import substitute_day
from machines.today.hour import Hour, hour_of
from machines.today.last_opened import keep_opened, last_opened
from machines.today.needs import needs_of, office_needs_of
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import page_moment
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.people.classes import running_sections
from shopsafe.school.timetable.facts import ClassOfTheHour, HourReason
from shopsafe.school.timetable.queries import class_now


@role("teacher", "substitute")
@require_safe
def today(request: SignedInRequest) -> HttpResponse:
    """The class of the hour, or `?class=`; for a substitute what may run, and who may use it."""
    at = page_moment(request)
    if request.user.is_substitute:
        return render(request, "machines/today/standing_in.html", {"now": substitute_day(request.user, at)})
    cards = open_cards(request.user)
    hour = _hour(request, at, section_open_for(cards))
    if hour is None:
        return render(request, "machines/today/no_class.html")
    context = {"hour": hour, "card": card_today(request.user, hour.section, cards)}
    context["left_open"] = [card for card in cards if card.left_open]
    response = render(request, "machines/today/today.html", context)
    return keep_opened(response, request.user, hour.section) if "class" in request.GET else response


@role("teacher")
@require_safe
def today_needs(request: SignedInRequest) -> HttpResponse:
    """The part of Today under "Needs you": Today asks for it once it is shown; without a script it is a page."""
    at = page_moment(request)
    hour = _hour(request, at)
    if hour is None:
        raise Http404
    part = "#needs" if request.htmx else ""  # type: ignore[attr-defined]
    return render(request, f"machines/today/today_needs.html{part}", {"now": needs_of(request.user, hour, at)})


@role("office")
@require_safe
def office_needs(request: SignedInRequest) -> HttpResponse:
    """What waits for the office on its first page: that page asks for it once it is shown, as Today does."""
    at = page_moment(request)
    part = "#needs" if request.htmx else ""  # type: ignore[attr-defined]
    return render(request, f"machines/today/office_needs.html{part}", {"now": office_needs_of(request.user, at)})


def _hour(request: SignedInRequest, at: datetime, open_for: int | None = None) -> Hour | None:
    """`open_for`: the class with which the teacher runs a shop now. None for a teacher without a running class. A class
    in the address that is none of these is not there."""
    sections = running_sections(request.user, local_day(at, request.user.school.time_zone))
    if not sections:
        return None
    if wanted := request.GET.get("class"):
        section = next((running for running in sections if str(running.pk) == wanted), None)
        if section is None:
            raise Http404
        return hour_of(section, sections, at)
    last = open_for or last_opened(request, request.user)
    now = class_now(sections, at, last) or ClassOfTheHour(None, HourReason.NO_CLASS)
    section = next((running for running in sections if running.pk == now.section), sections[0])
    return hour_of(section, sections, at, now.meeting)
