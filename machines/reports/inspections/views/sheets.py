"""Inspection sheets on paper: a PDF to print."""

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_safe

from machines.reports.facts import Interval
from machines.reports.inspections.paper import inspection_sheet
from shopsafe.language.messages import _
from shopsafe.paper.press.render import PrintFailed
from shopsafe.paper.upkeep import inspection_sheets
from shopsafe.school import access
from shopsafe.school.clock import page_moment
from shopsafe.school.pages.guards import SignedInRequest, role


@role("teacher", "office")
@require_safe
def inspection_sheet_file(request: SignedInRequest, shop: int, interval: str) -> HttpResponse:
    stored_shop = access.shop_for(request.user, shop)
    part = next((one for one in Interval if one == interval), None)
    sheet = inspection_sheet(stored_shop, part, page_moment(request)) if part else None
    if sheet is None or not sheet.machines:
        raise Http404
    try:
        made = inspection_sheets(sheet)
    except PrintFailed as failed:
        return render(
            request,
            "machines/reports/not_printed.html",
            {"sentence": failed.sentence},
            status=failed.status,
        )
    response = HttpResponse(made, content_type="application/pdf")
    name = _("Inspection {interval} {shop}.pdf", interval=sheet.interval, shop=stored_shop.name)
    response.headers["Content-Disposition"] = content_disposition_header(as_attachment=False, filename=name) or ""
    return response
