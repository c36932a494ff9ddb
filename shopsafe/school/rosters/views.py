"""A class list comes in: paste or choose, look at every row, fix or leave out, apply."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.models import RosterImport, Section
from shopsafe.school.pages.after_sign_in import onward
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.refusals import Refused
from shopsafe.school.rosters.acts import import_roster
from shopsafe.school.rosters.page_state import RosterDraft, page_context, read_draft

PAGE = "school/people/roster_import.html"


@role("teacher", "office")
@require_http_methods(["GET", "POST"])
def roster_import(request: SignedInRequest, section: int) -> HttpResponse:
    of = access.own_section_for(request.user, section)
    if request.method == "GET":
        return render(request, PAGE, {"section": of})
    try:
        draft = read_draft(request, of)
        if request.POST.get("step") == "apply":
            return _apply(request, of, draft)
        return render(
            request, "school/people/roster_preview.html", {"section": of, **page_context(draft, of, request.user)}
        )
    except Refused as refusal:
        return render(request, PAGE, {"section": of, "refusal": refusal}, status=refusal.status)


def _apply(request: SignedInRequest, section: Section, draft: RosterDraft) -> HttpResponse:
    done = import_roster(
        section=section,
        sheet=draft.sheet,
        key=draft.key,
        by=request.user,
        mends=draft.mends,
        columns=draft.columns,
    )
    messages.success(request, said(done))
    return redirect(onward(request, "class-people", section.pk))


def said(done: RosterImport) -> str:
    """ "26 added. 1 already here, 2 still to fix and not added, 1 left out." As the preview, it counts by themselves
    those that are twice in the list."""
    added = _("{number} added.", number=done.added) if done.added else _("No one added.")
    rest = [_("{number} already here", number=done.already_here - done.twice)]
    if done.twice:
        rest.append(_("{number} twice in this list", number=done.twice))
    if done.to_fix:
        rest.append(_("{number} still to fix and not added", number=done.to_fix))
    rest.append(_("{number} left out", number=done.skipped))
    return f"{added} {', '.join(rest)}."
