"""What every sheet shows around its own content: the places one may go, and the title block's date."""

from datetime import timedelta
from typing import Any

from django.http import HttpRequest
from django.urls import NoReverseMatch, reverse

from shopsafe.act import server_time
from shopsafe.language.messages import _, marked
from shopsafe.school.clock import is_behind, page_moment
from shopsafe.school.reading import look
from shopsafe.school.reading.accommodations import look_for
from shopsafe.school.templatetags.drawing import day

# role → (label, URL name). A place whose app has no page yet is left out.
PLACES: dict[str, list[tuple[str, str]]] = {
    "student": [
        (marked("My machines"), "bench"),
        (marked("Rules"), "rules"),
        (marked("Report a hazard"), "report-place"),
    ],
    "teacher": [
        (marked("Today"), "today"),
        (marked("Floor"), "floors"),
        (marked("Clearances"), "registers"),
        (marked("Machines"), "machines"),
        (marked("Reports"), "reports"),
        (marked("Incidents"), "incidents"),
        (marked("Question banks"), "banks"),
        (marked("Print"), "prints"),
        (marked("Classes"), "people"),
        (marked("Logbook"), "logbook"),
    ],
    "substitute": [
        (marked("Today"), "today"),
        (marked("Floor"), "floors"),
        (marked("Clearances"), "registers"),
        (marked("Machines"), "machines"),
        (marked("Reports"), "reports"),
    ],
    "office": [
        (marked("Office"), "office"),
        (marked("Whole school"), "school-standings"),
        (marked("Clearances"), "registers"),
        (marked("Classes"), "people"),
        (marked("Print"), "prints"),
        (marked("Reports"), "reports"),
        (marked("Incidents"), "incidents"),
        (marked("Logbook"), "logbook"),
        (marked("Retention"), "retention"),
    ],
}


def places(request: HttpRequest) -> list[dict[str, Any]]:
    links = []
    first = [(marked("Shop setup"), "first-run")] if request.session.get("first_run") else []
    for label, name in first + PLACES.get(getattr(request.user, "role", ""), []):
        try:
            url = reverse(name)
        except NoReverseMatch:
            continue
        links.append({"label": _(label), "url": url, "here": request.path.startswith(url)})
    # Of a page and the place above it (/office/ and /office/standings/) only the nearest is where one is.
    here = max((str(place["url"]) for place in links if place["here"]), key=len, default="")
    return [place | {"here": place["url"] == here} for place in links]


def sheet(request: HttpRequest) -> dict[str, Any]:
    """The context of base.html: `places`, `school`, `today` (the date at the school, in words), `look`, and for staff
    `clock_behind`: the server's time and that of the last entry, where its clock has fallen behind."""
    chosen = look.from_cookie(request.COOKIES.get(look.COOKIE, ""))
    user = getattr(request, "user", None)
    if user is None or not user.is_authenticated:
        return {"places": [], "school": None, "today": day(server_time()), "look": look.as_cookie(chosen)}
    moment = page_moment(request)
    behind = is_behind(moment) and not user.is_student  # who can do nothing about a clock
    return {
        "places": places(request),
        "school": user.school,
        "idle_minutes": user.idle_end // timedelta(minutes=1),
        "today": day(moment, user.school.time_zone),
        "look": look.as_cookie(look_for(chosen, user.given)),
        "clock_behind": {"server": server_time(), "last": moment} if behind else None,
    }
