"""A teacher of the class, or the office, grants a substitute supervising for a day."""

from datetime import date

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from machines.floor.acts import supervising as acts
from machines.floor.forms import SupervisingForm
from machines.floor.rows.records import grant_for, grants_of
from machines.floor.views.shops import out_of_date
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import page_moment
from shopsafe.school.models import Section
from shopsafe.school.naming.rules.ordering import people_in_order
from shopsafe.school.pages.form_parts import TapForm
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.refused_on import refused_on, status_of
from shopsafe.school.sheet_words.queries import substitute_words_of
from shopsafe.school.templatetags.drawing import day
from shopsafe.school.timetable.queries import timetable_of
from shopsafe.school.timetable.rules.meetings import meetings_on


def section_to_grant(request: SignedInRequest, pk: int) -> Section:
    """A class whose supervising the reader may grant; any other is the same 404."""
    section = access.section_for(request.user, pk)
    if not access.may(request.user, "grant supervising", section=section):
        raise Http404
    return section


@role("teacher", "office")
@require_http_methods(["GET", "HEAD", "POST"])
def supervising(request: SignedInRequest, section: int) -> HttpResponse:
    """The grants of a class from today on, and a new one."""
    stored = section_to_grant(request, section)
    substitutes = people_in_order(access.staff_for(request.user).filter(role=access.SUBSTITUTE))
    form = SupervisingForm(request.POST or None, substitutes=substitutes)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        substitute = next(person for person in substitutes if str(person.pk) == given["substitute"])
        at_field = {"supervising.past": "day", "supervising.not-in-term": "day"}
        with refused_on(form, at_field):
            asked = {"day": given["day"], "by": request.user, "tap": given["tap"]}
            acts.grant_supervising(section=stored, substitute=substitute, **asked)
            _say_granted(request, stored, substitute.name, given["day"])
            return redirect("supervising", stored.pk)
    today = local_day(page_moment(request), stored.school.time_zone)
    runs, grants = substitute_words_of(stored.shop).runs, grants_of(stored, today)
    context = {"section": stored, "form": form, "grants": grants, "any": substitutes, "runs": runs}
    return render(request, "machines/floor/hours/supervising.html", context, status=status_of(form))


def _say_granted(request: SignedInRequest, section: Section, substitute: str, chosen_day: date) -> None:
    """A day without a meeting may be meant, and is more often a mistyped date."""
    written = {"section": section.name, "day": day(chosen_day)}
    messages.success(
        request, _("{substitute} may run the shop with {section} on {day}.", substitute=substitute, **written)
    )
    timetable = timetable_of(section.school, [section])
    if timetable.meeting_times and not meetings_on(timetable, chosen_day):
        sentence = _(
            "By its timetable {section} does not meet on {day}. Withdraw this if it is the wrong day.", **written
        )
        messages.warning(request, sentence)


@role("teacher", "office")
@require_POST
def supervising_end(request: SignedInRequest, grant: int) -> HttpResponse:
    row = grant_for(request.user, grant)
    section_to_grant(request, row.section_id)
    form = TapForm(request.POST)
    if not form.is_valid():
        raise out_of_date()
    acts.withdraw_supervising(grant=row, by=request.user, tap=form.cleaned_data["tap"])
    messages.success(
        request,
        _(
            "{substitute} may no longer run the shop with {section}.",
            substitute=row.substitute.name,
            section=row.section.name,
        ),
    )
    return redirect("supervising", row.section_id)
