"""Tagging a machine out, and returning it to service after its whole list."""

import json
import uuid
from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from machines.models import Inspection, TagOut
from machines.reports.facts import LineAnswer
from machines.reports.inspections.acts.lists import start_inspections
from machines.tag_outs.acts import ReturnWords, return_to_service, tag_out
from shopsafe.logbook.models import Entry
from shopsafe.school.refusals import Refused
from tests.acts.reading import code_of, entries, last_entry
from tests.factories.machines import NOON, Floor
from tests.factories.reports.inspections import SECOND_REASON, answers_of, returned


def out(floor: Floor, **changes: object) -> TagOut:
    asked = {
        "machine": floor.saw_2,
        "reason": "Blade cracked",
        "by": floor.cast.teacher,
        "tap": uuid.uuid4(),
        "at": NOON,
    }
    return tag_out(**(asked | changes))  # type: ignore[arg-type]


def test_goes_out_with_a_reason_and_comes_back_after_its_whole_list(floor: Floor) -> None:
    row = out(floor)
    assert last_entry()[0] == "machine.tagged_out"
    back = returned(row, floor.cast.teacher, NOON, "New blade, test cut.", parts="Blade 1/2 in")
    assert back.returned_by == floor.cast.teacher
    payload = json.loads(entries("machine.returned")[0])
    assert (payload["inspection"], payload["machine"]["name"]) == ("New blade, test cut.", "Band saw 2")
    check = Inspection.objects.get(tag_out=row)
    kind, payload = last_entry()
    assert (kind, payload["tag_out"], payload["answers"]) == ("inspection.made", row.pk, check.answers)
    assert {line["answer"] for line in check.answers} == {"yes"}
    assert (check.parts, check.reason) == ("Blade 1/2 in", "")


def test_doesnt_apply_is_an_answer_and_no_keeps_it_out(floor: Floor) -> None:
    row, teacher = out(floor), floor.cast.teacher
    with pytest.raises(Refused, match=r"answered no\. The machine stays out"):
        returned(row, teacher, NOON, line_3=LineAnswer.NO)
    assert code_of(returned, row, teacher, NOON, line_3=None) == "line.not-answered"
    row.refresh_from_db()
    assert (row.returned_at, Inspection.objects.count()) == (None, 0)
    returned(row, teacher, NOON, line_3=LineAnswer.NOT_APPLICABLE)


def test_a_second_teacher_returns_it_with_a_reason_on_record(floor: Floor) -> None:
    row, colleague = out(floor), floor.cast.colleague
    assert code_of(returned, row, colleague, NOON, reason=" ") == "reason.empty"
    returned(row, colleague, NOON)
    assert last_entry()[1]["reason"] == SECOND_REASON
    check = Inspection.objects.get(tag_out=row)
    assert (check.by, check.tagged_out_by, check.reason) == (colleague, floor.cast.teacher, SECOND_REASON)


def test_list_changed_by_a_colleague_is_answered_again(floor: Floor) -> None:
    row, teacher = out(floor), floor.cast.teacher
    answers = answers_of(floor.saw_2, NOON)
    sent = {"tag_out": row, "answers": answers, "seen": "0" * 16, "words": ReturnWords("New blade."), "by": teacher}
    assert code_of(return_to_service, **sent, at=NOON) == "inspection.list-changed"


def test_list_set_by_the_shop_is_the_one_that_is_asked(floor: Floor) -> None:
    start_inspections(shop=floor.cast.shop, by=floor.cast.teacher, at=NOON - timedelta(days=1))
    returned(out(floor), floor.cast.teacher, NOON)
    assert Inspection.objects.get().answers[0]["says"] == "Guards and covers are whole, tight and in place."


def test_the_database_refuses_a_return_with_a_no_or_without_the_reason(floor: Floor) -> None:
    row, cast = out(floor), floor.cast
    fields = {"school": cast.school, "machine": floor.saw_2, "scope": "return", "answers": [], "at": NOON}
    fields |= {"tag_out": row, "tagged_out_by": cast.teacher}
    for wrong in ({"complete": False, "by": cast.teacher}, {"complete": True, "by": cast.colleague}):
        with pytest.raises(IntegrityError), transaction.atomic():
            Inspection.objects.create(**fields, **wrong)


def test_second_tag_out_is_refused(floor: Floor) -> None:
    out(floor)
    assert code_of(out, floor, by=floor.cast.colleague) == "tag-out.already"
    assert TagOut.objects.count() == 1


def test_the_same_tap_is_the_same_tag_out(floor: Floor) -> None:
    tap = uuid.uuid4()
    assert out(floor, tap=tap) == out(floor, tap=tap)
    assert code_of(out, floor, tap=tap, machine=floor.saw_3) == "tag-out.tap-used"


def test_words_are_asked_for_both_ways(floor: Floor) -> None:
    assert code_of(out, floor, reason="  ") == "tag-out.no-reason"
    row, teacher = out(floor), floor.cast.teacher
    assert code_of(returned, row, teacher, NOON, "") == "found.empty"
    returned(row, teacher, NOON)
    assert code_of(returned, row, teacher, NOON) == "return.already"


def test_no_one_else_may(floor: Floor) -> None:
    row = out(floor)
    for person in floor.cast.not_teachers:
        assert code_of(out, floor, machine=floor.saw_3, by=person) == "access.not-yours", person
        assert code_of(returned, row, person, NOON) == "access.not-yours", person
    assert (TagOut.objects.count(), Entry.objects.count()) == (1, 1)
