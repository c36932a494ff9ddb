"""The timetable page of a class: when it meets, and the day cycle and days off of the school."""

from typing import Any

from django.contrib import messages
from django.forms import Form
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import page_moment
from shopsafe.school.models import Section
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.refused_on import refused_on
from shopsafe.school.timetable import acts
from shopsafe.school.timetable.facts import Cycle
from shopsafe.school.timetable.forms import CycleForm, DayOffForm, MeetingTimes
from shopsafe.school.timetable.queries import cycle_of, timetable_of
from shopsafe.school.timetable.rules.meetings import next_meeting


@role("teacher", "office")
@require_http_methods(["GET", "POST"])
def class_timetable(request: SignedInRequest, section: int) -> HttpResponse:
    """When the class meets. A row without times is removed; a class without times is opened by hand."""
    of = access.own_section_for(request.user, section)
    if request.method == "GET":
        return _page(request, of)
    times = MeetingTimes(request.POST, form_kwargs={"cycle": cycle_of(of.school)})
    if times.is_valid():
        asked = [new_time for form in times if (new_time := form.new_time())]
        refusal = Form({})  # holds what the act refuses, above all rows
        with refused_on(refusal):
            acts.set_meeting_times(section=of, times=asked, by=request.user)
            messages.success(request, _("Meeting times of {of} saved.", of=of.name))
            return redirect("class-timetable", section)
        return _page(request, of, times=times, refused=refusal.non_field_errors())
    return _page(request, of, times=times)


@role("teacher", "office")
@require_POST
def day_cycle(request: SignedInRequest, section: int) -> HttpResponse:
    of = access.own_section_for(request.user, section)
    form = CycleForm(request.POST)
    if form.is_valid():
        with refused_on(form, "names"):
            acts.set_cycle(**form.asked(), by=request.user)
            messages.success(request, _("Day cycle saved."))
            return redirect("class-timetable", section)
    return _page(request, of, cycle_form=form)


@role("teacher", "office")
@require_POST
def day_off_add(request: SignedInRequest, section: int) -> HttpResponse:
    of = access.own_section_for(request.user, section)
    form = DayOffForm(request.POST)
    if form.is_valid():
        with refused_on(form):
            acts.add_day_off(**form.cleaned_data, by=request.user)
            messages.success(request, _("Day off added."))
            return redirect("class-timetable", section)
    return _page(request, of, off_form=form)


@role("teacher", "office")
@require_POST
def day_off_remove(request: SignedInRequest, section: int, day_off: int) -> HttpResponse:
    of = access.own_section_for(request.user, section)
    row = access.one_of(of.school.days_off.all(), pk=day_off)
    acts.remove_day_off(day_off=row, by=request.user)
    messages.success(request, _("Day off removed."))
    return redirect("class-timetable", of.pk)


def _page(request: SignedInRequest, section: Section, **forms: Any) -> HttpResponse:
    at, school = page_moment(request), section.school
    cycle = cycle_of(school)
    today = local_day(at, school.time_zone)
    context = {
        "section": section,
        "times": MeetingTimes(initial=_times_of(section), form_kwargs={"cycle": cycle}),
        "cycle": cycle,
        "cycle_form": CycleForm(initial={"day": today} | _start_of(cycle)),
        "off_form": DayOffForm(),
        "days_off": school.days_off.filter(day__gte=today),
        "next": next_meeting(timetable_of(school, [section]), at),
        **forms,
    }
    return render(request, "school/people/class_timetable.html", context, status=422 if forms else 200)


def _times_of(section: Section) -> list[dict[str, Any]]:
    """The meeting times as a form begins with them."""
    return [
        {
            "begins": row.begins,
            "ends": row.ends,
            "weekdays": [str(day) for day in row.weekdays],
            "cycle_days": [str(day) for day in row.cycle_days],
        }
        for row in section.meeting_times.all()
    ]


def _start_of(cycle: Cycle | None) -> dict[str, Any]:
    if cycle is None:
        return {}
    start = cycle.starts[0]
    return {
        "names": ", ".join(cycle.names),
        "unit": cycle.unit.value,
        "place": cycle.names[start.place],
        "day": start.day,
    }
