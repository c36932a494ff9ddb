"""The evidence file of one student, to read, to hand over and to check."""

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_http_methods, require_safe

from machines.evidence import file
from machines.evidence.acts import export_record
from machines.records import erasure, logbook_search
from shopsafe.language.messages import _
from shopsafe.logbook.acts.note_copy import note_copy
from shopsafe.logbook.acts.take_checkpoint import take_checkpoint
from shopsafe.logbook.models import CheckpointCopy
from shopsafe.paper.press.render import PrintFailed
from shopsafe.school import access
from shopsafe.school.clock import page_moment
from shopsafe.school.models import Person
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.refusals import Refused

CHECKER = settings.BASE_DIR / "shopsafe" / "logbook" / "verify_evidence.py"
FORMS = {"pdf": "application/pdf", "json": "application/json"}


@role("teacher", "office")
@require_http_methods(["GET", "POST"])
def evidence(request: SignedInRequest, student: int) -> HttpResponse:
    who = access.student_for(request.user, student)
    if request.method == "POST":
        try:
            return made(request, who)
        except PrintFailed as failed:
            return page(request, who, problem=failed.sentence, status=failed.status)
    return page(request, who)


@login_not_required
@require_safe
def evidence_checker(request: HttpRequest) -> HttpResponse:
    """The script that checks an evidence file without this program. It is open to everyone and holds no record."""
    headers = {"Content-Disposition": f'attachment; filename="{CHECKER.name}"'}
    return HttpResponse(CHECKER.read_bytes(), content_type="text/x-python; charset=utf-8", headers=headers)


def page(request: SignedInRequest, student: Person, *, problem: str = "", status: int = 200) -> HttpResponse:
    count, kept = logbook_search.count_about(student), erasure.current_keeping(student)
    context = {"student": student, "count": count, "kept": kept, "problem": problem, "file": file_name(student, "json")}
    return render(request, "machines/records/evidence.html", context, status=status)


def file_name(student: Person, form: str) -> str:
    return _("Evidence file {student}.{form}", student=student.name, form=form)


def made(request: SignedInRequest, student: Person) -> HttpResponse:
    """The file, up to the entry that says it was made."""
    at, form = page_moment(request), request.POST.get("form", "")
    if form not in FORMS:
        raise Refused("evidence.no-form", _("Choose the PDF or the JSON."), 422)
    export_record(student=student, by=request.user, form=form.upper())
    note_copy(checkpoint=take_checkpoint(), way=CheckpointCopy.Way.EVIDENCE)
    whole = file.evidence_file(student)
    body = file.as_pdf(whole, student, at) if form == "pdf" else file.as_json(whole)
    name = content_disposition_header(as_attachment=True, filename=file_name(student, form)) or ""
    return HttpResponse(body, content_type=FORMS[form], headers={"Content-Disposition": name})
