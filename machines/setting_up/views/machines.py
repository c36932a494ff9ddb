"""Machines come into a shop, get another number, leave it; a kind is described for a bank that has none."""

from collections import Counter
from dataclasses import asdict
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from machines.clearance.records import machines_for
from machines.models import Machine
from machines.setting_up.acts import kinds as kind_acts
from machines.setting_up.acts import machines as acts
from machines.setting_up.acts import requirements as requirement_acts
from machines.setting_up.forms.machines import CountsForm, KindForm, NewMachines, change_form, kind_words
from machines.setting_up.queries.machines import banks_without_kind, kinds_of, numbers_in, starter_shops
from machines.setting_up.queries.requirements import kinds_for
from machines.setting_up.rules.starter_shops import NewRow, number_clashes, rows_for
from shopsafe.language.messages import _, counted, marked
from shopsafe.school import access
from shopsafe.school.models import Shop
from shopsafe.school.pages.after_sign_in import onward
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.name_field import warn_of_look_alikes
from shopsafe.school.pages.refused_on import refused_on, status_of
from shopsafe.school.refusals import Refused


@role("teacher", "office")
@require_http_methods(["GET", "HEAD", "POST"])
def machines_add(request: SignedInRequest, shop: int) -> HttpResponse:
    """How many of each kind, from a starter shop or by hand; then each with its number; then they are there."""
    stored_shop = access.shop_for(request.user, shop)
    again = "counts" in request.POST  # back from the numbers
    if request.POST.get("step") == "add" and not again:
        return _add(request, stored_shop)
    starters = {starter.code: starter for starter in starter_shops()}
    chosen = starters.get(request.GET.get("list", ""))
    rows, typed = _typed(request)
    kinds = list(kinds_of(request.user))
    form = CountsForm(None if again else request.POST or None, kinds=kinds, starter=chosen, typed=typed)
    if request.method == "POST" and form.is_valid():
        new_rows = rows_for([kind.pk for kind in form.wanted()], typed, numbers_in(stored_shop))
        initial = [asdict(row) for row in new_rows]
        return _preview(
            request, stored_shop, NewMachines(initial=initial, form_kwargs={"kinds": kinds_of(request.user)})
        )
    context = {"shop": stored_shop, "form": form, "starters": starters.values(), "chosen": chosen, "rows": rows}
    return render(request, "machines/setting_up/machines_add.html", context, status=status_of(form))


def _typed(request: SignedInRequest) -> tuple[Any, list[NewRow]]:
    """The rows that a page of numbers sent, to be carried on; none on the way there."""
    if "form-TOTAL_FORMS" not in request.POST:
        return None, []
    rows = NewMachines(request.POST, form_kwargs={"kinds": kinds_of(request.user)})
    kinds = {str(kind.pk): kind.pk for kind in kinds_of(request.user)}
    typed_rows = [(str(row["kind"].value()), row["number"].value() or "", row["name"].value() or "") for row in rows]
    return rows, [NewRow(kinds[kind], number, name) for kind, number, name in typed_rows if kind in kinds]


def _add(request: SignedInRequest, shop: Shop) -> HttpResponse:
    rows = NewMachines(request.POST, form_kwargs={"kinds": kinds_of(request.user)})
    problem, status = "", 422
    if rows.is_valid():
        new_machines = [acts.NewMachine(**row) for row in rows.cleaned_data]
        try:
            added_machines = acts.add_machines(shop=shop, wanted=new_machines, by=request.user)
        except Refused as refusal:
            problem, status = "" if _marked(rows, shop) else refusal.sentence, refusal.status
        else:
            _count_once(request, added_machines)
            sentence = counted(
                "{count} machine added to {shop}.",
                "{count} machines added to {shop}.",
                count=len(added_machines),
                shop=shop.name,
            )
            messages.success(request, sentence)
            warn_of_look_alikes(request, *(machine.name for machine in added_machines))
            return redirect(onward(request, "machines"))
    return _preview(request, shop, rows, problem=problem, status=status)


def _count_once(request: SignedInRequest, machines: list[Machine]) -> None:
    """Where the teacher said so, one sign-off counts for all machines of a kind; unsaid, each asks for its own."""
    if request.user.is_teacher:
        for kind in {machine.kind for machine in machines}:
            if request.POST.get(f"sign-off-{kind.pk}") == "kind":
                requirement_acts.count_once_for_kind(kind=kind, by=request.user)


CLASHES = {
    "taken": marked("Another machine in {shop} has the number {number}."),
    "twice": marked("Another new machine has the number {number}."),
}


def _marked(rows: Any, shop: Shop) -> bool:
    """Whether a row has a number of another machine; then it says so."""
    numbers = [row["number"] for row in rows.cleaned_data]
    wrong = number_clashes(numbers, numbers_in(shop))
    for place, why in wrong.items():
        sentence = _(CLASHES[why], shop=shop.name, number=numbers[place])
        rows.forms[place].add_error("number", sentence)
    return bool(wrong)


def _preview(request: SignedInRequest, shop: Shop, rows: Any, problem: str = "", status: int = 200) -> HttpResponse:
    kinds = {str(kind.pk): kind for kind in kinds_of(request.user)}
    named = [(kinds.get(str(row["kind"].value())), row) for row in rows]
    if any(kind is None for kind, _row in named):
        raise Http404  # a kind of another school
    counts = Counter(kind for kind, _row in named)
    several = [kind for kind, count in counts.items() if count > 1] if request.user.is_teacher else []
    context = {
        "shop": shop,
        "rows": rows,
        "named": named,
        "several": several,
        "problem": problem,
        "wrong": bool(rows.is_bound),
    }
    return render(request, "machines/setting_up/machines_preview.html", context, status=status)


@role("teacher", "office")
@require_http_methods(["GET", "HEAD", "POST"])
def machine_change(request: SignedInRequest, machine: int) -> HttpResponse:
    stored_machine = _standing(request, machine)
    form = change_form(stored_machine, request.POST or None)
    if request.method == "POST" and form.is_valid():
        with refused_on(form, "number"):
            done = acts.rename_machine(machine=stored_machine, by=request.user, **form.cleaned_data)
            messages.success(request, _("Saved as {machine}.", machine=done))
            warn_of_look_alikes(request, done.name)
            return redirect("machine", done.pk)
    context = {"machine": stored_machine, "form": form}
    return render(request, "machines/setting_up/machine_change.html", context, status=status_of(form))


@role("teacher", "office")
@require_http_methods(["GET", "HEAD", "POST"])
def machine_retire(request: SignedInRequest, machine: int) -> HttpResponse:
    """Asked once more, since it can't be undone."""
    stored_machine = _standing(request, machine)
    if request.method != "POST":
        return render(request, "machines/setting_up/machine_retire.html", {"machine": stored_machine})
    acts.retire_machine(machine=stored_machine, by=request.user)
    messages.success(
        request,
        _("{machine} has left {shop}. Its record stays.", machine=stored_machine, shop=stored_machine.shop.name),
    )
    return redirect("machines")


def _standing(request: SignedInRequest, machine: int) -> Machine:
    return access.one_of(machines_for(request.user), pk=machine, retired_at=None)


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def kind_add(request: SignedInRequest) -> HttpResponse:
    """A kind of machine for a bank of the school's own."""
    form = KindForm(request.POST or None, banks=banks_without_kind(request.user))
    if request.method == "POST" and form.is_valid():
        with refused_on(form):
            kind = kind_acts.add_kind(by=request.user, **form.asked())
            warn_of_look_alikes(request, kind.name)
            messages.success(request, _("{machine_type}: kept. Now add the machines of this kind.", machine_type=kind))
            return redirect("machines")
    return render(request, "machines/setting_up/kind_add.html", {"form": form}, status=status_of(form))


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def kind_change(request: SignedInRequest, kind: int) -> HttpResponse:
    """How a kind of machine is stopped, what is checked and what is shown, in the shop's own words."""
    stored_kind = access.one_of(kinds_for(request.user), pk=kind)
    form = kind_words(stored_kind, request.POST or None)
    if request.method == "POST" and form.is_valid():
        with refused_on(form):
            changed = kind_acts.change_kind(kind=stored_kind, by=request.user, **form.asked())
            warn_of_look_alikes(request, changed.name)
            messages.success(request, _("{machine_type}: kept. Print its wall cards again.", machine_type=stored_kind))
            return redirect("kinds")
    return render(
        request, "machines/setting_up/kind_change.html", {"kind": stored_kind, "form": form}, status=status_of(form)
    )
