"""The logbook as teachers and the office read it: search, one entry, and whether it holds."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from machines.records import logbook_search
from shopsafe.logbook import queries
from shopsafe.logbook.acts.note_verification import note_verification
from shopsafe.logbook.rules.outline import outline
from shopsafe.logbook.verification.verify import verify
from shopsafe.school.access import allow
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.refusals import Refused

# A page may take about a second over it; more entries are for the command.
READ_AT_ONCE = 50_000


@role("teacher", "office")
@require_GET
def logbook(request: SignedInRequest) -> HttpResponse:
    search_page = logbook_search.search(request.user, request.GET)
    size = queries.size()
    context = {
        "found": search_page,
        "form": search_page.form,
        "size": size,
        "verification": queries.latest_verification(),
        "checkpoint": queries.latest_checkpoint(),
        "at_once": size <= READ_AT_ONCE,
        "narrowed": any(request.GET.values()),
    }
    return render(request, "machines/teacher/logbook.html", context, status=422 if search_page.form.errors else 200)


@role("teacher", "office")
@require_POST
def verify_logbook(request: SignedInRequest) -> HttpResponse:
    allow(request.user, "read the logbook")
    if queries.size() > READ_AT_ONCE:
        raise Refused("logbook.too-long", "The logbook is too long for a page. Run manage.py logbook verify.")
    verdict = verify()
    note_verification(verdict=verdict)
    messages.info(request, verdict.says_wrong or f"All {verdict.entries} entries were read. They hold.")
    return redirect("logbook")


@role("teacher", "office")
@require_GET
def entry(request: SignedInRequest, seq: int) -> HttpResponse:
    line = logbook_search.line_for(request.user, seq)
    context = {
        "line": line,
        "link": queries.entry(seq),
        "nodes": outline(line.payload or {}, request.user.school.time_zone),
    }
    return render(request, "machines/teacher/logbook_entry.html", context)
