"""What teachers, substitutes and the office read: today, the registers, one student, one cell with its reasons."""

import uuid
from datetime import datetime
from urllib.parse import urlencode

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils.http import content_disposition_header
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_safe

from machines.bench.shared_steps import for_all_of
from machines.clearance.facts import ClearanceResult, Reason
from machines.clearance.links import ActionLink, link_of
from machines.clearance.loading import asks_at
from machines.clearance.out_of_use import out_of_use
from machines.clearance.queries import judged, machines_of, matrix
from machines.clearance.records import holds_in_force, machine_of_section, sign_offs_at
from machines.clearance.rules.evaluation import may_be_signed_off
from machines.floor.rows.records import open_run
from machines.floor.supervision import stays_off
from machines.models import Hold, Machine
from machines.register.files import as_csv, as_xlsx
from machines.register.moments import read_moment, write_moment
from machines.register.queries import NARROWINGS, Narrowing, Register, register_of
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.access import section_for
from shopsafe.school.calendar import local_day, start_of_day
from shopsafe.school.clock import page_moment
from shopsafe.school.models import Person, School, Section
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.people.classes import student_of_section
from shopsafe.school.people.names_in_class import full_name_in
from shopsafe.school.people.queries import sections_with_counts

STAFF = ("teacher", "substitute", "office")


FILES = {"csv": "text/csv; charset=utf-8", "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"}


@role(*STAFF)
@require_safe
def registers(request: SignedInRequest) -> HttpResponse:
    """The classes in sight, those that run now first."""
    day = local_day(page_moment(request), request.user.school.time_zone)
    sections = sections_with_counts(request.user)
    running = [section for section in sections if section.term.first_day <= day <= section.term.last_day]
    context = {"running": running, "others": [section for section in sections if section not in running]}
    return render(request, "machines/register/registers.html", context)


@gzip_page  # 36 students at 16 machines are 600 cells; Django adds random bytes, so that the size tells no secret
@role(*STAFF)
@require_safe
def register(request: SignedInRequest, section: int) -> HttpResponse:
    """The matrix; with ?at= as it was then, with ?show= narrowed; the table alone when it asks for itself again, and
    nothing at all where what it holds (?seen=) still says the same."""
    stored_section, asked, show, table = _register(request, section)
    part = "#matrix" if request.GET.get("part") == "matrix" else ""
    if part and request.GET.get("seen") == table.digest:
        return HttpResponse(status=204)
    context = {
        "section": stored_section,
        "register": table,
        "show": show,
        "shows": {word: _(label) for word, label in NARROWINGS.items()},
        "asked": asked,
        "query": asked.narrowed(show),
        "stays_off": stays_off(request.user, stored_section.shop, page_moment(request), stored_section.pk),
    }
    return render(request, f"machines/register/register.html{part}", context, status=422 if asked.wrong else 200)


@role("teacher", "office")
@require_safe
def register_file(request: SignedInRequest, section: int, form: str) -> HttpResponse:
    """The same as a spreadsheet."""
    stored_section, asked, _narrowed, table = _register(request, section)
    moment = asked.written.replace("T", " ").replace(":", ".")
    title = _("Clearances {section} {moment}", section=stored_section.name, moment=moment)
    body = as_csv(table.as_rows()) if form == "csv" else as_xlsx(table.as_rows(), title)
    name = content_disposition_header(as_attachment=True, filename=f"{title}.{form}") or ""
    return HttpResponse(body, content_type=FILES[form], headers={"Content-Disposition": name})


def _register(request: SignedInRequest, section: int) -> "tuple[Section, AsOf, Narrowing | None, Register]":
    stored_section = section_for(request.user, section)
    asked, show = AsOf(request, stored_section.school), _show(request)
    return stored_section, asked, show, register_of(stored_section, asked.at, show)


def _show(request: SignedInRequest) -> Narrowing | None:
    """What the register is narrowed to, or was before this page."""
    show = request.GET.get("show", "")
    return Narrowing(show) if show in NARROWINGS else None


@role(*STAFF)
@require_safe
def student_standings(request: SignedInRequest, section: int, student: int) -> HttpResponse:
    """One student at every machine of the class's shop, with the holds, and now with what many machines share."""
    stored_section, asked, person = _in_class(request, section, student)
    asks = asks_at(stored_section.school_id, asked.at)
    machines = machines_of(stored_section.shop_id, asked.at)
    clearances = judged([person], machines, stored_section.school, asks, asked.at)
    off = out_of_use([machine.pk for machine in clearances.machines], asked.at)
    day = local_day(asked.at, stored_section.school.time_zone)
    holds = list(holds_in_force([person.pk], day, asked.at))
    context = {
        "section": stored_section,
        "student": person,
        "called": full_name_in(stored_section, person, asked.at),
        "row": [(machine, answer, off.get(machine.pk)) for machine, answer in clearances.row(person)],
        "for_all": for_all_of(person, clearances.machines, asks, asked.at) if asked.is_now else None,
        "holds": holds,
        "run": open_run(student=person) if holds and asked.is_now else None,
        "taught": access.may(request.user, "change a class", section=stored_section),
        "played": next((hold for hold in holds if hold.everywhere and hold.reason == Hold.Reason.HORSEPLAY), None),
        "midnight": start_of_day(day, stored_section.school.time_zone),
        "asked": asked,
        "narrowed": asked.narrowed(_show(request)),
        "tap": uuid.uuid4(),
    }
    return render(request, "machines/register/student.html", context)


@role(*STAFF)
@require_safe
def reasons(request: SignedInRequest, section: int, student: int, machine: int) -> HttpResponse:
    """One cell: may this student use this machine, why, on what it rests, and what was done."""
    stored_section, asked, person = _in_class(request, section, student)
    stored_machine = machine_of_section(stored_section, machine)
    clearances = matrix([person], [stored_machine], stored_section.school, asked.at)
    if not clearances.machines:
        raise Http404  # it was not in the shop then
    answer = clearances.answers[person.pk, stored_machine.pk]
    context = {
        "section": stored_section,
        "student": person,
        "called": full_name_in(stored_section, person, asked.at),
        "machine": stored_machine,
        "answer": answer,
        "reasons": [
            (reason, _link(request, reason, answer, stored_section, person, stored_machine))
            for reason in answer.reasons
        ],
        "out": out_of_use([stored_machine.pk], asked.at).get(stored_machine.pk),
        "may_show": may_be_signed_off(answer),
        "sign_offs": sign_offs_at(person, stored_machine, asked.at),
        "asked": asked,
        "narrowed": asked.narrowed(_show(request)),
    }
    return render(request, "machines/register/reasons.html", context)


def _link(
    request: SignedInRequest,
    reason: Reason,
    answer: ClearanceResult,
    section: Section,
    student: Person,
    machine: Machine,
) -> ActionLink | None:
    """None on a page about the past: what was missing then is not what is to be done now. Nor before its turn."""
    if not AsOf(request, section.school).is_now or (reason.link == "sign-off" and not may_be_signed_off(answer)):
        return None
    return link_of(reason, request.user, student=student.pk, machine=machine.pk, section=section.pk)


class AsOf:
    """The moment a page is asked for: now, or that of ?at=; `wrong` where it can't be read."""

    def __init__(self, request: SignedInRequest, school: School) -> None:
        self.zone = school.time_zone
        self.at: datetime = page_moment(request)
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

    def narrowed(self, show: Narrowing | None) -> str:
        """The query of the same register in another form."""
        query = {"at": "" if self.is_now else self.written, "show": show or ""}
        return "?" + urlencode({name: value for name, value in query.items() if value}) if any(query.values()) else ""

    @property
    def query(self) -> str:
        """What a link carries on to a page about the same moment."""
        return "" if self.is_now else f"?at={self.written}"


def _in_class(request: SignedInRequest, section: int, student: int) -> tuple[Section, AsOf, Person]:
    stored_section = section_for(request.user, section)
    asked = AsOf(request, stored_section.school)
    return stored_section, asked, student_of_section(stored_section, student)
