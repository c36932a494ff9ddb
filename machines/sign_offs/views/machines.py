"""The machines: the list, and one machine's page, for everyone in its shop."""

from datetime import datetime
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from machines.clearance.links import link_of_step
from machines.clearance.out_of_use import out_of_use
from machines.clearance.queries import answer_for
from machines.clearance.records import in_service_life, machine_for, machines_for
from machines.clearance.rules.evaluation import may_be_signed_off
from machines.clearance.rules.next_steps import each_step
from machines.floor.rows.records import open_run
from machines.floor.showing.student_place import student_place
from machines.floor.supervision import stays_off
from machines.models import Machine
from machines.sign_offs.queries import AtMachine, at_machine, last_tries, tag_outs_at
from quizzes.access import numbers_hidden
from quizzes.banks.editions.queries import editions_in
from quizzes.banks.editions.texts import text_of
from quizzes.models import Edition
from quizzes.relearning.queries import steps as quiz_steps
from quizzes.relearning.rules.next_attempt import StepCode
from shopsafe.school.access import shops_for
from shopsafe.school.clock import page_moment
from shopsafe.school.models import Person
from shopsafe.school.naming.rules.ordering import in_order
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.signing_in.codes.check_word_today import word_of

SIX = 6  # the rules in sight on a student's page: the first that every quiz asks
ALL = ("student", "teacher", "substitute", "office")


@role(*ALL)
@require_safe
def machines(request: SignedInRequest) -> HttpResponse:
    """Every machine of my shops, and which no one may use."""
    at = page_moment(request)
    shop_machines = list(in_service_life(machines_for(request.user), at))
    off = out_of_use([machine.pk for machine in shop_machines], at)
    in_shop: dict[int, list[tuple[Machine, object]]] = {}
    for shop_machine in shop_machines:
        in_shop.setdefault(shop_machine.shop_id, []).append((shop_machine, off.get(shop_machine.pk)))
    shops = in_order(shops_for(request.user))
    context = {"shops": [(shop, in_shop.get(shop.pk, []), stays_off(request.user, shop, at)) for shop in shops]}
    return render(request, "machines/sign_offs/machines.html", context)


@role(*ALL)
@require_safe
def machine(request: SignedInRequest, machine: int) -> HttpResponse:
    stored_machine = machine_for(request.user, machine)
    if stored_machine.retired_at is not None and request.user.role not in ("teacher", "office"):
        raise Http404
    return machine_page(request, stored_machine, page_moment(request))


def machine_page(
    request: SignedInRequest, machine: Machine, at: datetime, status: int = 200, **chosen: Any
) -> HttpResponse:
    """The machine's page as the asker sees it; with `chosen`, a student being signed off by a teacher."""
    class_pk = request.GET.get("class", "")
    machine_state = at_machine(request.user, machine, at, int(class_pk) if class_pk.isdecimal() else None)
    editions = editions_in(machine.school_id, machine_state.asks.publications)
    edition = editions.get(machine.kind.bank_id or 0)
    text = text_of(edition).bank if edition else None
    context = {"machine": machine, "state": machine_state, "edition": edition, "text": text, **chosen}
    context["stays_off"] = stays_off(request.user, machine.shop, at)
    if request.user.is_teacher:
        signed_now, tries = machine_state.just_signed, machine_state.tries
        tiles = [
            (student, word_of(student, at), signed_now.get(student.pk), tries.get(student.pk))
            for student in machine_state.ready_by_name
        ]
        context |= {"tiles": tiles, "signed": machine_state.history, "outs": tag_outs_at(request.user, machine)}
        context["tries"] = machine_state.undoable_tries
        context["run"] = open_run(machine=machine) if machine_state.out_of_use else None
    if request.user.is_student:
        context |= _for_student(request.user, machine, machine_state, editions, at)
        context["six"] = [rule for rule in text.live_rules if rule.must_ask][:SIX] if text else []
    template = {"teacher": "teacher", "student": "student"}.get(request.user.role, "staff")
    return render(request, f"machines/machine/{template}.html", context, status=status)


def _for_student(
    student: Person, machine: Machine, machine_state: AtMachine, editions: dict[int, Edition], at: datetime
) -> dict[str, Any]:
    """The answer to "may I?", and what stands between the student and the machine."""
    answer = machine_state.answers.get(student.pk) or answer_for(student, machine, at)
    own = machine.kind.bank_id or 0
    quizzes = quiz_steps(student, at, editions.values(), machine_state.asks.publications) if answer.reasons else {}
    is_open = quizzes[own].code == StepCode.OPEN if own in quizzes else own in editions and numbers_hidden(student, own)
    steps = each_step(answer, machine.kind.bank_id, quizzes, student.school.time_zone)
    return {
        "answer": answer,
        "place": student_place(
            student, machine, cleared=answer.cleared, tagged_out=machine_state.out_of_use is not None
        ),
        "numbers_hidden": is_open,
        "word": word_of(student, at) if may_be_signed_off(answer) and not machine_state.out_of_use else "",
        "refresher": any(reason.link == "refresher" for reason, _step in steps),
        "reasons": [(reason.who, step, link_of_step(reason, step)) for reason, step in steps],
        "last": last_tries([student.pk], machine, at).get(student.pk) if may_be_signed_off(answer) else None,
    }
