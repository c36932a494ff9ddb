"""The machines: the list, and one machine's page, for everybody in its shop."""

from datetime import datetime
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from machines import queries
from machines.clearance import may_be_signed_off
from machines.links import link_of_step
from machines.models import Machine
from machines.queries.at_machine import at_machine, history_of
from machines.standing_in import stays_off
from machines.views.words import word_of
from quizzes.editions import text_of
from quizzes.queries import latest_editions
from shopsafe.school.access import shops_for
from shopsafe.school.guards import Signed, role
from shopsafe.school.ordering import in_order

ALL = ("student", "teacher", "substitute", "office")


@role(*ALL)
@require_safe
def machines(request: Signed) -> HttpResponse:
    """Every machine of my shops, and which are tagged out."""
    at = timezone.now()
    there = list(queries.in_service_life(queries.machines_for(request.user), at))
    out = queries.tagged_out([machine.pk for machine in there], at)
    in_shop: dict[int, list[tuple[Machine, object]]] = {}
    for one in there:
        in_shop.setdefault(one.shop_id, []).append((one, out.get(one.pk)))
    shops = in_order(shops_for(request.user))
    context = {"shops": [(shop, in_shop.get(shop.pk, []), stays_off(request.user, shop)) for shop in shops]}
    return render(request, "machines/machines.html", context)


@role(*ALL)
@require_safe
def machine(request: Signed, machine: int) -> HttpResponse:
    there = queries.machine_for(request.user, machine)
    if there.retired_at is not None and request.user.role not in ("teacher", "office"):
        raise Http404
    return machine_page(request, there, timezone.now())


def machine_page(request: Signed, there: Machine, at: datetime, status: int = 200, **chosen: Any) -> HttpResponse:
    """The machine's page as the asker sees it; with `chosen`, a student being signed off by a teacher."""
    wanted = request.GET.get("class", "")
    found = at_machine(request.user, there, at, int(wanted) if wanted.isdecimal() else None)
    edition = latest_editions(request.user, at).filter(bank=there.kind.bank_id).first()
    text = text_of(edition).bank if edition else None
    context = {"machine": there, "found": found, "edition": edition, "text": text, **chosen}
    context["stays_off"] = stays_off(request.user, there.shop)
    if request.user.is_teacher:
        signed, outs = history_of(request.user, there)
        tiles = [(student, word_of(student, at), found.just_signed.get(student.pk)) for student in found.ready]
        context |= {"tiles": tiles, "signed": signed, "outs": outs}
    if request.user.is_student:
        answer = context["answer"] = queries.answer_for(request.user, there, at)
        context["word"] = word_of(request.user, at) if may_be_signed_off(answer) and not found.out else ""
        steps = queries.steps_at(request.user, there, answer, at)
        context["reasons"] = [(reason.who, step, link_of_step(reason, step)) for reason, step in steps]
    return render(request, "machines/machine.html", context, status=status)
