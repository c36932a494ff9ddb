"""A teacher tags a machine out and returns it to service."""

from django.conf import settings
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from machines.clearance.records import machine_for, tag_outs_for
from machines.floor.rows.records import open_run
from machines.reports.hazards.queries import reports_for
from machines.reports.inspections.forms import ReturnForm
from machines.reports.inspections.lists import lists_of_kind
from machines.tag_outs import acts
from machines.tag_outs.forms import TagOutForm
from machines.tag_outs.paper import tag_of
from shopsafe.language.messages import _
from shopsafe.paper.press.render import PrintFailed
from shopsafe.paper.upkeep import tag as tag_sheet
from shopsafe.school import access
from shopsafe.school.clock import page_moment
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.refused_on import refused_on, status_of


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def tag_out(request: SignedInRequest, machine: int) -> HttpResponse:
    stored_machine = machine_for(request.user, machine)
    form = TagOutForm(request.POST or None, initial={"reason": _reported(request)})
    if request.method == "POST" and form.is_valid():
        with refused_on(form):
            acts.tag_out(machine=stored_machine, by=request.user, **form.cleaned_data)
            messages.success(request, _("{machine} is tagged out. No one may use it.", machine=stored_machine))
            return redirect("machine", stored_machine.pk)
    return render(
        request, "machines/tag_outs/tag_out.html", {"machine": stored_machine, "form": form}, status=status_of(form)
    )


def _reported(request: SignedInRequest) -> str:
    """What the report says from which the teacher came here; the teacher words the reason."""
    pk = request.GET.get("report", "")
    report = reports_for(request.user).filter(pk=int(pk)).first() if pk.isdecimal() and len(pk) < 19 else None
    return report.sees[:300] if report else ""


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def return_to_service(request: SignedInRequest, tag_out: int) -> HttpResponse:
    row = access.one_of(tag_outs_for(request.user), pk=tag_out)
    lists = lists_of_kind(row.machine.kind, page_moment(request))
    instead_of = row.by.name if row.by_id != request.user.pk else ""
    form = ReturnForm(request.POST or None, lists=lists, instead_of=instead_of)
    if request.method == "POST" and form.is_valid():
        with refused_on(form):
            words = acts.ReturnWords(*(form.cleaned_data.get(name, "") for name in ("found", "reason", "parts")))
            answers, seen = form.answers(), form.cleaned_data["seen"]
            acts.return_to_service(tag_out=row, answers=answers, seen=seen, words=words, by=request.user)
            messages.success(request, _("{machine} is back in service.", machine=row.machine))
            return redirect("machine", row.machine_id)
    context = {"row": row, "form": form, "reports": row.reports.select_related("by").order_by("pk")}
    context["run"] = None if row.returned_at else open_run(machine=row.machine)
    return render(request, "machines/tag_outs/return.html", context, status=status_of(form))


@role("teacher")
@require_safe
def tag_file(request: SignedInRequest, tag_out: int) -> HttpResponse:
    """The tag to print and put on the machine, while it is out."""
    row = access.one_of(tag_outs_for(request.user), pk=tag_out, returned_at=None)
    machine = row.machine
    address = f"{settings.SITE_URL}{reverse('machine', args=[machine.pk])}".upper()
    try:
        made = tag_sheet(tag_of(row, machine, address))
    except PrintFailed as failed:
        return render(
            request,
            "machines/reports/not_printed.html",
            {"sentence": failed.sentence},
            status=failed.status,
        )
    response = HttpResponse(made, content_type="application/pdf")
    response.headers["Content-Disposition"] = f'inline; filename="tag-{row.pk}.pdf"'
    return response
