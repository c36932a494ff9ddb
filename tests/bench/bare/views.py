"""Keeps an answer as plainly as Django can: one select, one upsert, a small template. No rule is asked."""

from uuid import UUID

from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.template import Context, Engine
from django.utils import timezone

from quizzes.models import Attempt
from tests.bench.bare.models import BareAnswer

PARTIAL = Engine().from_string("<p id=saved>{{ person.name }}: saved at {{ answer.saved_at|date:'H:i:s' }}</p>")


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
