"""Does what is pressed as plainly as Django can: selects, an upsert, a template or a redirect. No rule is asked."""

from functools import cache
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.hashers import check_password
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.template import Context, Engine
from django.utils import timezone

from machines.floor.showing.page import floor_card, floor_page
from machines.models import Machine
from quizzes.models import Answer, Attempt
from shopsafe.school.models import Person, Shop
from tests.bench.bare.models import BareAnswer, BareRecord, BareResult

PARTIAL = Engine().from_string("<p id=saved>{{ person.name }}: saved at {{ answer.saved_at|date:'H:i:s' }}</p>")

PAGE = Engine().from_string(
    """<!doctype html>
<html lang="en"><head><title>Floor</title></head>
<body>
<header><p>{{ person.name }}</p></header>
<main><h1>Floor</h1>
<ul>
{% for machine in machines %}<li class="tile">
  <div><b>{{ machine.number }}</b><h2>{{ machine.name|default:machine.kind.name }}</h2></div>
  <p class="state">{{ machine.kind.stop }}</p>
  <p class="more">since {{ machine.added_at|date:"H:i" }}</p>
  <form method="post" action="{{ machine.pk }}"><input type="hidden" name="tap" value="{{ machine.pk }}">
  <button>Mark as stopped: {{ machine.name }} {{ machine.number }}</button></form>
</li>{% endfor %}
</ul></main>
</body></html>"""
)


def floor(request: HttpRequest, shop: int) -> HttpResponse:
    """A tile for each machine of a shop, as plainly as Django can: one select and a template."""
    if not request.user.is_authenticated:
        raise Http404
    machines = Machine.objects.filter(shop=shop).select_related("kind").order_by("number")
    context = {"machines": machines, "person": request.user}
    return HttpResponse(PAGE.render(Context(context)))


def floor_ready(request: HttpRequest, shop: int) -> HttpResponse:
    """The floor's own page, of what was loaded when it was first asked for: one select beside it."""
    if not request.user.is_authenticated:
        raise Http404
    list(Machine.objects.filter(shop=shop))
    return render(request, "machines/floor/floor.html", ready(shop))


@cache
def ready(shop: int) -> dict[str, Any]:
    stored = Shop.objects.select_related("school", "floor").get(pk=shop)
    reader = stored.teachers.order_by("pk")[0]
    card = floor_card(stored, reader)
    page = floor_page(stored, card, reader)
    return {"give": 0, "page": page, "card": card, "zone": stored.school.time_zone, "refusal": None}


def save(request: HttpRequest, attempt: UUID, question: str) -> HttpResponse:
    if not request.user.is_authenticated:
        raise Http404
    with transaction.atomic():
        mine = Attempt.objects.get(pk=attempt, student=request.user.pk)
        answer = BareAnswer(
            attempt=mine.pk, question=question, response={"chosen": request.POST["answer"]}, saved_at=timezone.now()
        )
        BareAnswer.objects.bulk_create(
            [answer],
            update_conflicts=True,
            unique_fields=["attempt", "question"],
            update_fields=["response", "saved_at"],
        )
    return HttpResponse(PARTIAL.render(Context({"answer": answer, "person": request.user})))


def hand_in(request: HttpRequest, attempt: UUID) -> HttpResponse:
    """The attempt and its answers, counted; a result and a record; to the next page."""
    if not request.user.is_authenticated:
        raise Http404
    with transaction.atomic():
        mine = (
            Attempt.objects.select_related("edition").defer("edition__content").get(pk=attempt, student=request.user.pk)
        )
        answers = dict(Answer.objects.filter(attempt=mine).values_list("question", "response"))
        given = [{"code": line["code"], "answer": answers[line["code"]]} for line in mine.form["lines"]]
        result = BareResult(attempt=mine.pk, handed_in_at=timezone.now(), correct=len(given))
        BareResult.objects.bulk_create(
            [result], update_conflicts=True, unique_fields=["attempt"], update_fields=["handed_in_at", "correct"]
        )
        _record("hand in", mine.student_id, {"attempt": str(mine.pk), "questions": given})
    return redirect(f"/bare/{attempt}/")


def sign_off(request: HttpRequest, machine: int, student: int) -> HttpResponse:
    """The machine and the student; a sign-off and a record; a message, and back to the machine."""
    if not request.user.is_authenticated:
        raise Http404
    with transaction.atomic():
        stored_machine = Machine.objects.select_related("kind", "shop").get(pk=machine)
        person = Person.objects.get(pk=student, role="student")
        points = request.POST.getlist("point")
        _record("sign-off", person.pk, {"machine": stored_machine.pk, "by": request.user.pk})
        _record("entry", person.pk, {"machine": str(stored_machine), "student": person.name, "points": points})
    messages.success(request, f"Signed off {person.name} on {stored_machine}.")
    return redirect(f"/bare/{machine}/")


def _record(kind: str, about: int, payload: dict[str, Any]) -> None:
    BareRecord.objects.create(kind=kind, about=about, payload=payload, at=timezone.now())


def sign_in(request: HttpRequest) -> HttpResponse:
    """The person of that name, whose code is right; Django's own session; to the first page."""
    person = Person.objects.filter(sign_in_key=request.POST["name"], is_active=True).first()
    if person is None or not check_password(request.POST["code"], person.password):
        raise Http404
    login(request, person, "django.contrib.auth.backends.ModelBackend")
    return redirect("/bare/")
