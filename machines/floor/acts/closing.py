"""A shop is closed by its list: every line answered by a named person, and no run open."""

from collections.abc import Iterable
from datetime import datetime
from typing import Any
from uuid import UUID

from machines.floor.facts import ClosingAnswer
from machines.floor.queries import closing_lines, open_runs, open_shop_of, settings_of
from machines.floor.rules.closing import closing_state
from machines.floor.supervision import allow_floor
from machines.models import ShopOpening
from shopsafe.act import act
from shopsafe.language.messages import _
from shopsafe.logbook.append import append
from shopsafe.logbook.queries import last_moment
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock
from shopsafe.school.models import Person, Shop
from shopsafe.school.people.classes import students_of
from shopsafe.school.refusals import Refused
from shopsafe.school.taps import is_repeated

NOTE_MAX = 300


@act
def close_shop(
    *, shop: Shop, answers: Iterable[ClosingAnswer], lines: Iterable[str], by: Person, tap: UUID,
    at: datetime | None = None,
) -> ShopOpening:  # fmt: skip
    """The shop is closed. `lines` are those that the page showed; `seen_by` in an answer is the key of a person.

    Refused: access.not-yours, floor.no-grant, closing.closed, closing.lines-changed, closing.not-of-the-shop, and what
    the list still asks for: closing.run.open, closing.line.not-answered, closing.line.not-seen, closing.line.no-note,
    closing.line.not-still, closing.list.empty; closing.tap-used.
    """
    answers = list(answers)
    lock(shop)
    last = last_moment(shop.school_id)
    at = act_moment(shop.school_id, at)
    asked = {"shop": shop.pk, "answers": [list(answer) for answer in answers]}
    if is_repeated(tap, "closing", by=by, at=at, asked=asked):
        return ShopOpening.objects.filter(shop=shop).order_by("-pk")[0]
    now = open_shop_of(shop.pk, last)
    if now is None:
        raise Refused("closing.closed", _("{shop} is closed already.", shop=shop.name))
    opening = now.opening
    allow_floor(by, shop, opening.section_id, at)
    asked_lines = closing_lines(settings_of(opening.shop))
    if [line.text for line in asked_lines] != list(lines):
        raise Refused("closing.lines-changed", _("The closing list was changed. Read it again and answer it."))
    running = {run.machine_id: f"{run.machine} ({run.student.name})" for run in open_runs(shop.pk)}
    state = closing_state(asked_lines, answers, running)
    if state.problems:
        raise Refused(f"closing.{state.problems[0].code}", state.problems[0].sentence, 422)
    people = people_of_round(opening, by, at)
    latest = {answer.line: answer for answer in answers}
    stored = [_stored(line.text, latest[line.key], people) for line in asked_lines]
    opening.closed_at, opening.closed_by, opening.closed_how = at, by, ShopOpening.ClosedBy.LIST
    opening.answers = stored
    opening.save(update_fields=["closed_at", "closed_by", "closed_how", "answers"])
    _record(opening, by, at)
    return opening


def people_of_round(opening: ShopOpening, by: Person, at: datetime) -> dict[str, Person]:
    """Key as text → who may have checked a line: the one who closes, the teachers of the shop, the class."""
    staff = [by, *opening.shop.teachers.filter(is_active=True)]
    students = students_of(opening.section, at) if opening.section else []
    return {str(person.pk): person for person in [*staff, *students]}


def _stored(line: str, answer: ClosingAnswer, people: dict[str, Person]) -> dict[str, Any]:
    if answer.seen_by not in people:
        raise Refused("closing.not-of-the-shop", _("Choose from the list who checked “{line}”.", line=line), 422)
    note = "" if answer.done else answer.note.strip()[:NOTE_MAX]
    return {"line": line, "done": answer.done, "seen_by": people[answer.seen_by].pk, "note": note}


def _record(opening: ShopOpening, by: Person, at: datetime) -> None:
    # Who checked a line is a key here and no name: the entry is about the shop, and stays when a student is erased.
    payload: dict[str, Any] = {
        "shop": {"id": opening.shop_id, "name": opening.shop.name},
        "by": by.as_record(),
        "opening": opening.pk,
        "how": opening.closed_how,
        "answers": opening.answers,
    }
    if opening.section:
        payload["section"] = {"id": opening.section_id, "name": opening.section.name}
    append(kind="shop.closed", school=opening.school_id, at=at, payload=payload)
