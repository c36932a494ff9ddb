"""The plan of demonstrations and the rotation of a class for one period, and how long demonstrations take."""

from django.contrib import messages
from django.forms.models import model_to_dict
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from machines.planning.acts import set_demonstration_times
from machines.planning.facts import RotaFacts
from machines.planning.forms import (
    MINUTES,
    MOST_MINUTES,
    SLOT_MINUTES,
    SLOTS,
    DemonstrationTimeForm,
    PlanForm,
    RotationForm,
)
from machines.planning.moves import moves_in
from machines.planning.queries import (
    ClassAtMachines,
    class_at_machines,
    demonstration_times,
    minutes_left,
    plan_facts,
    rota_facts,
)
from machines.planning.rules.plans import make_plan
from machines.planning.rules.rotas import make_rota
from machines.planning.showing import Choice, ShownRota, shown_plan, shown_rota
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.clock import page_moment
from shopsafe.school.pages.after_sign_in import onward
from shopsafe.school.pages.guards import SignedInRequest, role


@role("teacher")
@require_safe
def plan(request: SignedInRequest, section: int) -> HttpResponse:
    """Which groups show which machine in what order. The moves by hand are in the address; nothing is stored."""
    in_sight = access.section_for(request.user, section)
    at = page_moment(request)
    first = {"minutes": min(minutes_left(in_sight, at) or MINUTES, MOST_MINUTES)}
    form = PlanForm(request.GET if "minutes" in request.GET else first)
    if not form.is_valid():
        return render(request, "machines/planning/plan.html", {"section": in_sight, "form": form}, status=422)
    judged_class, moves = class_at_machines(in_sight, at), moves_in(request.GET)
    facts = plan_facts(judged_class, form.cleaned_data["minutes"])
    shown = shown_plan(make_plan(facts, moves.for_plan), facts, moves, form.cleaned_data)
    context = {"section": in_sight, "form": form, "shown": shown, "moves": moves, "day_list": judged_class.today}
    return render(request, "machines/planning/plan.html", context)


@role("teacher")
@require_safe
def rotation(request: SignedInRequest, section: int) -> HttpResponse:
    """Who works at which machine in which turn."""
    in_sight = access.section_for(request.user, section)
    form = RotationForm(request.GET if "slots" in request.GET else {"slots": SLOTS, "minutes": SLOT_MINUTES})
    if not form.is_valid():
        return render(request, "machines/planning/rotation.html", {"section": in_sight, "form": form}, status=422)
    judged_class, moves = class_at_machines(in_sight, page_moment(request)), moves_in(request.GET)
    facts = rota_facts(judged_class, form.cleaned_data["slots"], form.cleaned_data["minutes"])
    shown = shown_rota(make_rota(facts, moves.for_rota), facts, moves, form.cleaned_data)
    context = {
        "section": in_sight,
        "form": form,
        "shown": shown,
        "moves": moves,
        "day_list": judged_class.today,
        "seats": _seats(judged_class, facts, shown),
    }
    return render(request, "machines/planning/rotation.html", context)


def _seats(judged_class: ClassAtMachines, facts: RotaFacts, shown: ShownRota) -> list[Choice]:
    """Each turn at each machine for each student who is here and cleared on it."""
    words = _("Turn {turn}, {machine}: {student}")  # looked up once for them all
    return [
        Choice(
            f"{turn - 1}-{machine.pk}-{student.pk}",
            words.format(turn=turn, machine=machine.spoken, student=judged_class.names[student.pk]),
        )
        for machine in judged_class.machines
        for student in judged_class.today.here
        for turn, _starts, _ends in shown.turns
        if (student.pk, machine.pk) in facts.cleared and machine.pk not in judged_class.tagged_out
    ]


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def demonstration_minutes(request: SignedInRequest, section: int) -> HttpResponse:
    """One row a machine type of the class's shop."""
    in_sight = access.section_for(request.user, section)
    kinds = {machine.kind for machine in class_at_machines(in_sight, page_moment(request)).machines}
    times = demonstration_times(kinds)
    sent = request.POST if request.method == "POST" else None
    forms = [
        (kind, DemonstrationTimeForm(sent, initial=model_to_dict(times[kind.pk]), prefix=f"kind-{kind.pk}"))
        for kind in sorted(kinds, key=str)
    ]
    if sent and not [kind for kind, form in forms if not form.is_valid()]:  # every row says what is wrong
        changed = [(kind, form.cleaned_data) for kind, form in forms if form.has_changed()]
        set_demonstration_times(times=changed, by=request.user)
        messages.success(request, _("The times are saved. Plans count with them from now on."))
        return redirect(onward(request, "plan", section))
    wrong = any(form.errors for _, form in forms)
    context = {"section": in_sight, "forms": forms, "wrong": wrong}
    return render(request, "machines/planning/demonstration_minutes.html", context, status=422 if wrong else 200)
