"""What teachers, substitutes and the office read: today, the registers, one student, one cell with its reasons."""

import uuid
from datetime import datetime

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from machines import queries
from machines.clearance import may_be_signed_off
from machines.moments import read_moment, write_moment
from machines.queries.register import SHOWS, register_of
from machines.queries.today import today_for
from quizzes.accepted import practice_only
from quizzes.queries import waiting_for
from shopsafe.school.access import section_for
from shopsafe.school.calendar import local_day
from shopsafe.school.guards import Signed, role
from shopsafe.school.models import Person, Section
from shopsafe.school.queries import sections_with_counts

STAFF = ("teacher", "substitute", "office")


@role("teacher", "substitute")
@require_safe
def today(request: Signed) -> HttpResponse:
    at = timezone.now()
    waiting = waiting_for(request.user, at) if request.user.is_teacher else ()
    practice = len(practice_only(request.user.school_id, at)) if request.user.is_teacher else 0
    context = {"now": today_for(request.user, at), "waiting": waiting, "practice": practice}
    return render(request, "machines/staff/today.html", context)


@role(*STAFF)
@require_safe
def registers(request: Signed) -> HttpResponse:
    """The classes in sight, those that run now first."""
    day = local_day(timezone.now(), request.user.school.time_zone)
    sections = list(sections_with_counts(request.user))
    running = [one for one in sections if one.term.first_day <= day <= one.term.last_day]
    context = {"running": running, "others": [one for one in sections if one not in running]}
    return render(request, "machines/staff/registers.html", context)


@role(*STAFF)
@require_safe
def register(request: Signed, section: int) -> HttpResponse:
    """The matrix; with ?at= as it was then, with ?show= narrowed; the table alone when it asks for itself again."""
    one = section_for(request.user, section)
    asked = Asked(request, one)
    show = request.GET.get("show", "")
    show = show if show in SHOWS else ""
    context = {
        "section": one,
        "register": register_of(one, asked.at, show),
        "show": show,
        "shows": SHOWS,
        "asked": asked,
    }
    part = "#matrix" if request.GET.get("part") == "matrix" else ""
    return render(request, f"machines/staff/register.html{part}", context, status=422 if asked.wrong else 200)


@role(*STAFF)
@require_safe
def student_standings(request: Signed, section: int, student: int) -> HttpResponse:
    """One student at every machine of the class's shop, with the holds."""
    one, asked, person = _in_class(request, section, student)
    found = queries.matrix([person], queries.machines_of(one.shop_id, asked.at), one.school, asked.at)
    day = local_day(asked.at, one.school.time_zone)
    context = {
        "section": one,
        "student": person,
        "row": found.row(person),
        "holds": queries.holds_in_force([person.pk], day, asked.at),
        "asked": asked,
        "tap": uuid.uuid4(),
    }
    return render(request, "machines/staff/student.html", context)


@role(*STAFF)
@require_safe
def reasons(request: Signed, section: int, student: int, machine: int) -> HttpResponse:
    """One cell: may this student use this machine, why, on what it rests, and what was done."""
    one, asked, person = _in_class(request, section, student)
    there = queries.machine_of_section(one, machine)
    found = queries.matrix([person], [there], one.school, asked.at)
    if not found.machines:
        raise Http404  # it was not in the shop then
    answer = found.answers[person.pk, there.pk]
    context = {
        "section": one,
        "student": person,
        "machine": there,
        "answer": answer,
        "may_show": may_be_signed_off(answer),
        "sign_offs": queries.sign_offs_at(person, there, asked.at),
        "asked": asked,
    }
    return render(request, "machines/staff/reasons.html", context)


class Asked:
    """The moment a page is asked for: now, or that of ?at=; `wrong` where it can't be read."""

    def __init__(self, request: Signed, section: Section) -> None:
        self.zone = section.school.time_zone
        self.at: datetime = timezone.now()
        self.text, self.wrong = request.GET.get("at", ""), False
        if self.text:
            try:
                self.at = read_moment(self.text, self.zone)
            except (ValueError, OverflowError):
                self.wrong = True

    @property
    def is_now(self) -> bool:
        return not self.text or self.wrong

    @property
    def written(self) -> str:
        return write_moment(self.at, self.zone)

    @property
    def query(self) -> str:
        """What a link carries on to a page about the same moment."""
        return "" if self.is_now else f"?at={self.written}"


def _in_class(request: Signed, section: int, student: int) -> tuple[Section, Asked, Person]:
    one = section_for(request.user, section)
    asked = Asked(request, one)
    return one, asked, queries.student_of_section(one, student)
