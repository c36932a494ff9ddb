"""The logbook as teachers and the office read it: search, one entry, and whether it holds."""

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from machines.records import logbook_search
from shopsafe.act import server_time
from shopsafe.language.messages import _
from shopsafe.logbook import queries
from shopsafe.logbook.acts.verification_runs import ask_for_verification, is_silent
from shopsafe.logbook.rules.checkpoint_codes import read_code, short_code
from shopsafe.logbook.rules.outline import outline
from shopsafe.school.access import allow
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.refusals import Refused
from shopsafe.workers import start_worker

COPIES_SHOWN = 5


@role("teacher", "office")
@require_GET
def logbook(request: SignedInRequest) -> HttpResponse:
    if request.GET.get("part") == "state":
        return render(request, "machines/records/logbook.html#state", state())
    search_page = logbook_search.search(request.user, request.GET)
    context = state() | {
        "search": search_page,
        "form": search_page.form,
        "narrowed": any(request.GET.values()),
    }
    return render(request, "machines/records/logbook.html", context, status=422 if search_page.form.errors else 200)


@role("teacher", "office")
@require_POST
def verify_logbook(request: SignedInRequest) -> HttpResponse:
    allow(request.user, "read the logbook")
    code = request.POST.get("code", "").strip()
    if code and read_code(code) is None:
        raise Refused("logbook.code", _("Enter the code as it is printed, such as 1234:3fa2-9c01-77ab-0e44-91d0."), 422)
    if ask_for_verification(against=code[:100]):
        start_worker("logbook", "verify", "--asked")
    else:
        messages.info(request, _("The logbook is being checked already."))
    return redirect("logbook")


def state() -> dict[str, Any]:
    """Whether the logbook holds, when that was last seen, how far a check is, and up to where entries are protected."""
    size, run, verification = queries.size(), queries.current_run(), queries.latest_verification()
    checkpoint = queries.latest_checkpoint()
    copy = queries.protecting_copy() if checkpoint else None
    return {
        "size": size,
        "verification": verification,
        "held": queries.last_that_held() if verification and verification.fault else verification,
        "run": run,
        "silent": run is not None and is_silent(run, server_time()),
        "checkpoint": checkpoint,
        "code": short_code(checkpoint.size, bytes(checkpoint.root).hex()) if checkpoint else "",
        "copy": copy,
        "unprotected": size - (copy.checkpoint_id if copy else 0),
        "copies": queries.latest_copies(COPIES_SHOWN) if checkpoint else [],
        "mails": bool(settings.CHECKPOINT_MAIL),
    }


@role("teacher", "office")
@require_GET
def entry(request: SignedInRequest, seq: int) -> HttpResponse:
    line = logbook_search.line_for(request.user, seq)
    context = {
        "line": line,
        "link": queries.entry(seq),
        "nodes": outline(line.payload or {}, request.user.school.time_zone),
    }
    return render(request, "machines/records/logbook_entry.html", context)
