"""The print room, and the page behind the code on a printed card."""

from dataclasses import dataclass

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from machines.acts import prints as acts
from machines.cards import ShopThen, shop_then
from machines.models import Print
from machines.print_forms import CardForm, ChartForm
from machines.printing import print_card, print_chart
from machines.queries.prints import Hanging, hanging_in, print_of_code, prints_for, shops_to_print, state_of
from shopsafe.paper.codes import read_code
from shopsafe.paper.setting import Printed
from shopsafe.paper.sheets import PAPERS
from shopsafe.school import access
from shopsafe.school.guards import Signed, role


@dataclass
class Room:
    """One shop of the print room: its forms, and what hangs there."""

    then: ShopThen
    hanging: list[Hanging]
    card: CardForm
    chart: ChartForm

    @property
    def stale(self) -> list[Hanging]:
        return [one for one in self.hanging if one.changes]


def _room(then: ShopThen, *, card: CardForm | None = None, chart: ChartForm | None = None) -> Room:
    machines, sections = then.matrix.machines, then.sections
    return Room(
        then,
        hanging_in(then),
        card or CardForm(shop=then.shop, machines=machines, sections=sections),
        chart or ChartForm(shop=then.shop, sections=sections),
    )


@role("teacher", "office")
@require_GET
def prints(request: Signed) -> HttpResponse:
    at = timezone.now()
    rooms = [_room(shop_then(shop, at)) for shop in shops_to_print(request.user)]
    return render(request, "machines/teacher/prints.html", {"rooms": rooms})


@role("teacher", "office")
@require_POST
def print_wall_card(request: Signed, shop: int) -> HttpResponse:
    at = timezone.now()
    then = shop_then(access.shop_for(request.user, shop), at)
    form = CardForm(request.POST, shop=then.shop, machines=then.matrix.machines, sections=then.sections)
    if not form.is_valid():
        return _wrong(request, _room(then, card=form), form)
    said = form.cleaned_data
    sections = [said["section"]] if said["section"] else []
    row, printed = print_card(
        machine=said["machine"],
        sections=sections,
        papers=form.papers,
        by=request.user,
        at=at,
        metres=float(said["metres"]),
        then=then,
    )
    return _pdf(row, printed)


@role("teacher", "office")
@require_POST
def print_wall_chart(request: Signed, shop: int) -> HttpResponse:
    at = timezone.now()
    then = shop_then(access.shop_for(request.user, shop), at)
    form = ChartForm(request.POST, shop=then.shop, sections=then.sections)
    if not form.is_valid():
        return _wrong(request, _room(then, chart=form), form)
    said = form.cleaned_data
    row, printed = print_chart(
        section=said["section"],
        paper=PAPERS[said["paper"]],
        by=request.user,
        at=at,
        metres=float(said["metres"]),
        then=then,
    )
    return _pdf(row, printed)


def _wrong(request: Signed, room: Room, form: CardForm | ChartForm) -> HttpResponse:
    """The page with this shop alone, and what is wrong at its top."""
    return render(request, "machines/teacher/prints.html", {"rooms": [room], "form": form}, status=422)


def _pdf(row: Print, printed: Printed) -> HttpResponse:
    response = HttpResponse(printed.pdf, content_type="application/pdf")
    response.headers["Content-Disposition"] = f'inline; filename="{row.sheet.replace(" ", "-")}-{row.code}.pdf"'
    return response


@role("teacher", "office")
@require_POST
def print_take_down(request: Signed, shop: int, code: str) -> HttpResponse:
    row = access.one_of(prints_for(request.user), shop=shop, code=code)
    acts.take_down(printed=row, by=request.user, at=timezone.now())
    messages.success(request, f"{row} is off the wall.")
    return redirect("prints")


@login_not_required
@require_GET
def print_check(request: HttpRequest, code: str) -> HttpResponse:
    """What a scanned code says: current, out of date, or replaced. No name, so that anyone may scan."""
    row = print_of_code(read_code(code))
    if row is None:
        raise Http404
    state = state_of(row, timezone.now()) if row.current else None
    return render(request, "machines/print_check.html", {"print": row, "state": state})
