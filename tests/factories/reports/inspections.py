"""Lists gone through, for tests: every line answered yes unless said otherwise."""

import uuid
from datetime import datetime
from typing import Any

from django.utils import timezone

from machines.models import Inspection, Machine, TagOut
from machines.reports.facts import Interval, LineAnswer
from machines.reports.inspections.acts.inspections import inspect
from machines.reports.inspections.lists import lists_of_kind
from machines.tag_outs.acts import ReturnWords, return_to_service
from shopsafe.school.models import Person
from tests.factories.machines import NOON

SECOND_REASON = "The teacher who tagged it out is away."


def answers_of(
    machine: Machine, at: datetime, interval: Interval | None = None, **but: LineAnswer | None
) -> dict[int, LineAnswer]:
    """Yes to each line; `but` as line_0=LineAnswer.NO, or None for a line without an answer."""
    lines = lists_of_kind(machine.kind, at).lines(interval)
    answers = {place: but.get(f"line_{place}", LineAnswer.YES) for place in range(len(lines))}
    return {place: answer for place, answer in answers.items() if answer is not None}


def returned(tag_out: TagOut, by: Person, at: datetime, finding: str = "New blade.", **more: Any) -> TagOut:
    """Back in service after its whole list; a second teacher gives a reason."""
    reason = more.pop("reason", SECOND_REASON if by.pk != tag_out.by_id else "")
    words = ReturnWords(finding, reason, more.pop("parts", ""))
    answers = answers_of(tag_out.machine, at, **more)
    seen = lists_of_kind(tag_out.machine.kind, at).digest()
    return return_to_service(tag_out=tag_out, answers=answers, seen=seen, words=words, by=by, at=at)


def inspected(
    machine: Machine, by: Person, interval: Interval = Interval.WEEKLY, at: datetime = NOON, **but: Any
) -> Inspection:
    words, tap = but.pop("words", ""), but.pop("tap", uuid.uuid4())
    seen = but.pop("seen", lists_of_kind(machine.kind, at).digest(interval))
    answers = answers_of(machine, at, interval, **but)
    return inspect(machine=machine, interval=interval, answers=answers, seen=seen, words=words, by=by, tap=tap, at=at)


def sent_answers(machine: Machine, interval: Interval | None = None, answer: str = "yes") -> dict[str, str]:
    """What the page of a list sends, every line answered alike."""
    lists = lists_of_kind(machine.kind, timezone.now())
    lines = {f"line-{place}": answer for place in range(len(lists.lines(interval)))}
    return {**lines, "seen": lists.digest(interval), "tap": str(uuid.uuid4())}


def sent_return(machine: Machine, found: str = "New blade.", **more: str) -> dict[str, str]:
    return {**sent_answers(machine), "found": found, "parts": "", "reason": SECOND_REASON, **more}
