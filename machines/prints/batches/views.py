"""Sets of prints: asked for, watched, stopped, fetched."""

from uuid import UUID

from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from machines.prints.batches import acts
from machines.prints.batches.making import UNSAFE
from machines.prints.batches.worker import is_abandoned, start_worker
from machines.prints.queries import sets_for
from machines.prints.room.forms import SetForm
from machines.prints.room.offers import SETS, STALE
from machines.prints.room.views import room
from machines.prints.sheets.wall import shop_snapshot
from shopsafe.act import server_time
from shopsafe.school import access
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import page_moment
from shopsafe.school.pages.guards import SignedInRequest, role


@role("teacher", "office")
@require_POST
def print_set_ask(request: SignedInRequest, shop: int, what: str) -> HttpResponse:
    stored_shop, at = access.shop_for(request.user, shop), page_moment(request)
    offer = (SETS | {"stale": STALE}).get(what)
    if offer is None:
        raise Http404
    form = offer.form(request.POST, snapshot=shop_snapshot(stored_shop, at))
    if not (isinstance(form, SetForm) and form.is_valid()):
        return room(request, offer, form)
    row = acts.ask_for_set(what=what, shop=stored_shop, by=request.user, **form.asked())
    start_worker()
    return redirect("print-set", row.key)


@role("teacher", "office")
@require_safe
def print_set(request: SignedInRequest, key: UUID) -> HttpResponse:
    """How far it is; the part that changes asks for itself again."""
    row = access.one_of(sets_for(request.user), key=key)
    if is_abandoned(row, server_time()) and acts.want_worker(row=row):
        start_worker()
    part = "#progress" if request.GET.get("part") == "progress" else ""
    context = {"row": row, "there": row.file.exists()}
    return render(request, f"machines/prints/print_set.html{part}", context)


@role("teacher", "office")
@require_POST
def print_set_stop(request: SignedInRequest, key: UUID) -> HttpResponse:
    row = access.one_of(sets_for(request.user), key=key)
    acts.stop_set(row=row, by=request.user)
    return redirect("print-set", key)


@role("teacher", "office")
@require_POST
def print_set_again(request: SignedInRequest, key: UUID) -> HttpResponse:
    row = access.one_of(sets_for(request.user), key=key)
    acts.start_again(row=row, by=request.user)
    start_worker()
    return redirect("print-set", key)


@role("teacher", "office")
@require_safe
def print_set_file(request: SignedInRequest, key: UUID) -> HttpResponseBase:
    row = access.one_of(sets_for(request.user), key=key, state="ready")
    if not row.file.exists():
        raise Http404
    name = f"{row}, {local_day(row.asked_at, row.school.time_zone)}.zip".translate(UNSAFE)
    return FileResponse(row.file.open("rb"), as_attachment=True, filename=name, content_type="application/zip")
