"""A list gone through: what a no does, when the next is due, who may, and lists that the shop sets."""

import uuid
from datetime import date, timedelta

import pytest

from machines.clearance.out_of_use import out_of_use
from machines.models import HazardReport, Inspection, Machine
from machines.reports.facts import DueState, InspectionLine, Interval, LineAnswer
from machines.reports.hazards.acts import clear_report
from machines.reports.inspections.acts.calendars import end_calendar, open_calendar
from machines.reports.inspections.acts.lists import set_inspection_list, start_inspections
from machines.reports.inspections.acts.service import ServiceDone, record_service
from machines.reports.inspections.lists import lists_of_kind
from machines.reports.inspections.queries import MachineInspection, due_inspections, history_of, shop_machines
from machines.reports.inspections.queries import inspections_of as all_inspections
from machines.tag_outs.acts import tag_out
from shopsafe.logbook.models import Listing
from shopsafe.logbook.verification.verify import verify
from tests.acts.reading import code_of, last_entry
from tests.factories.machines import NOON, Floor
from tests.factories.reports.inspections import answers_of, inspected, returned
from tests.factories.shop_in_use import MINUTE, given, opened, started, stopped

DAY = timedelta(days=1)
BEFORE = NOON - 3 * DAY  # Friday, October 9, 2026; NOON is a Monday
LINE = InspectionLine("The guard is on.", "common practice")


@pytest.fixture
def shop(floor: Floor) -> Floor:
    """Inspections have begun on the Friday before."""
    start_inspections(shop=floor.cast.shop, by=floor.cast.teacher, at=BEFORE)
    return floor


def faults() -> list[str]:
    """The rest of the floor is made by factories, without entries."""
    words = ("inspection", "service", "hazard report")
    return [fault.sentence for fault in verify().records if any(word in fault.sentence for word in words)]


def of(floor: Floor, machine: Machine, interval: Interval, at=NOON) -> MachineInspection:  # type: ignore[no-untyped-def]
    rows = all_inspections(shop_machines(floor.cast.teacher, at), floor.cast.school, at)
    return next(row for row in rows if row.machine == machine and row.interval is interval)


def test_nothing_is_due_before_a_teacher_begins(floor: Floor) -> None:
    assert due_inspections(floor.cast.teacher, NOON) == []


def test_a_weekly_list_is_due_again_in_the_next_week(shop: Floor) -> None:
    assert of(shop, shop.saw_2, Interval.WEEKLY).due.state is DueState.OVERDUE, "no one did it on Friday"
    inspected(shop.saw_2, shop.cast.teacher, at=NOON)
    row = of(shop, shop.saw_2, Interval.WEEKLY)
    assert (row.due.state, row.last) == (DueState.NOT_DUE, NOON.date())
    assert of(shop, shop.saw_2, Interval.WEEKLY, NOON + 7 * DAY).due.state is DueState.DUE
    assert of(shop, shop.saw_3, Interval.WEEKLY).waits, "the other saw was not inspected"
    assert last_entry()[0] == "inspection.made"
    assert faults() == []


def test_a_no_keeps_the_machine_off_and_the_list_stays_due(shop: Floor) -> None:
    row = inspected(shop.saw_2, shop.cast.teacher, line_0=LineAnswer.NO)
    assert row.complete is False
    off = out_of_use([shop.saw_2.pk], NOON)[shop.saw_2.pk]
    assert off.report is not None
    assert off.report.words == "Answered no: Guards and covers are whole, tight and in place."
    assert of(shop, shop.saw_2, Interval.WEEKLY).waits
    clear_report(report=off.report, finding="Tightened.", by=shop.cast.teacher, at=NOON + MINUTE)
    inspected(shop.saw_2, shop.cast.teacher, at=NOON + 2 * MINUTE)
    assert not of(shop, shop.saw_2, Interval.WEEKLY, NOON + 3 * MINUTE).waits
    assert faults() == []


def test_a_return_to_service_counts_for_every_interval(shop: Floor) -> None:
    row = tag_out(machine=shop.saw_2, reason="Guard", by=shop.cast.teacher, tap=uuid.uuid4(), at=NOON)
    machines = {line.machine for line in due_inspections(shop.cast.teacher, NOON)}
    assert shop.saw_2 not in machines, "no one inspects what is tagged out"
    returned(row, shop.cast.teacher, NOON)
    assert not of(shop, shop.saw_2, Interval.WEEKLY).waits
    assert not of(shop, shop.saw_2, Interval.TERM).waits


def test_every_line_is_answered_on_the_list_that_was_shown(shop: Floor) -> None:
    by = shop.cast.teacher
    assert code_of(inspected, shop.saw_2, by, line_1=None) == "inspection.not-answered"
    assert code_of(inspected, shop.saw_2, by, seen="other") == "inspection.list-changed"
    assert code_of(inspected, shop.saw_2, by, Interval.DAILY, seen="") == "inspection.no-list"
    tag_out(machine=shop.saw_3, reason="Guard", by=by, tap=uuid.uuid4(), at=NOON)
    assert code_of(inspected, shop.saw_3, by) == "inspection.tagged-out"
    assert Inspection.objects.count() == 0


def test_the_same_tap_is_the_same_inspection(shop: Floor) -> None:
    tap = uuid.uuid4()
    sent = {"by": shop.cast.teacher, "tap": tap, "line_0": LineAnswer.NO}
    assert inspected(shop.saw_2, **sent) == inspected(shop.saw_2, **sent)
    assert (Inspection.objects.count(), HazardReport.objects.count()) == (1, 1)
    assert code_of(inspected, shop.saw_2, shop.cast.teacher, tap=tap) == "inspection.tap-used"


def test_the_shop_sets_its_own_list(shop: Floor) -> None:
    kind, by = shop.saw, shop.cast.teacher
    seen = lists_of_kind(kind, NOON).digest()
    set_inspection_list(kind=kind, lines={Interval.DAILY: [LINE]}, seen=seen, by=by, at=NOON)
    lists = lists_of_kind(kind, NOON)
    assert (lists.lines(), lists.since) == ((LINE,), BEFORE)
    assert lists_of_kind(kind, NOON - DAY).digest() == seen, "the list of the day before stays what it was"
    assert of(shop, shop.saw_2, Interval.DAILY).waits
    changed = {"kind": kind, "lines": {Interval.WEEKLY: [LINE]}, "seen": seen, "at": NOON}
    assert code_of(set_inspection_list, by=shop.cast.colleague, **changed) == "list.changed"
    assert faults() == []


@pytest.mark.parametrize(
    ("lines", "code"),
    [
        ([LINE, LINE], "list.line-twice"),
        ([InspectionLine("x" * 121, "")], "list.line-too-long"),
        ([InspectionLine(str(number), "") for number in range(41)], "list.too-long"),
    ],
)
def test_list_that_can_not_be_gone_through_is_refused(shop: Floor, lines: list[InspectionLine], code: str) -> None:
    sent = {"kind": shop.saw, "seen": "", "by": shop.cast.teacher, "at": NOON}
    assert code_of(set_inspection_list, lines={Interval.DAILY: lines}, **sent) == code


def test_second_start_changes_nothing(shop: Floor) -> None:
    assert start_inspections(shop=shop.cast.shop, by=shop.cast.colleague, at=NOON) == []


def test_service_is_in_the_history_with_the_hours_since(floor: Floor) -> None:
    cast = floor.cast
    done = ServiceDone(NOON.date() - DAY, "Blade changed", "Saw Service Co.", "Blade 1/2 in")
    sent = {"machine": floor.saw_2, "by": cast.teacher, "at": NOON}
    record_service(done=done, tap=uuid.uuid4(), **sent)
    assert last_entry()[0] == "machine.serviced"
    floor.make_cleared(cast.student)
    opened(floor)
    stopped(started(given(floor, cast.student), at=NOON), at=NOON + 30 * MINUTE)
    history = history_of(floor.saw_2, NOON + 31 * MINUTE)
    assert (history.served_on, history.hours) == (done.day, 0.5)
    assert [(line.sort, line.by, line.parts) for line in history.lines] == [
        ("Serviced", "Saw Service Co.", "Blade 1/2 in")
    ]
    later = ServiceDone(date(2026, 10, 13), "Oiled", "Me")
    assert code_of(record_service, done=later, tap=uuid.uuid4(), **sent) == "service.not-yet"
    assert (
        code_of(record_service, done=ServiceDone(done.day, " ", "Me"), tap=uuid.uuid4(), **sent) == "service.no-words"
    )
    assert faults() == []


def test_calendar_is_one_a_person_and_ends_once(floor: Floor) -> None:
    sent = {"shop": floor.cast.shop, "by": floor.cast.teacher, "at": NOON}
    row = open_calendar(**sent)
    assert open_calendar(**sent) == row
    end_calendar(calendar=row, by=floor.cast.teacher, at=NOON)
    end_calendar(calendar=row, by=floor.cast.teacher, at=NOON)
    assert list(Listing.objects.order_by("entry").values_list("kind", flat=True)) == [
        "calendar.opened",
        "calendar.ended",
    ]
    assert open_calendar(**sent) != row


def test_no_one_else_may(shop: Floor) -> None:
    cast, entries = shop.cast, Listing.objects.count()
    done = ServiceDone(NOON.date(), "Oiled", "Me")
    answers = answers_of(shop.saw_2, NOON, Interval.WEEKLY)
    assert answers
    for person in cast.not_teachers:
        assert code_of(inspected, shop.saw_2, person) == "access.not-yours", person
        assert code_of(start_inspections, shop=cast.shop, by=person, at=NOON) == "access.not-yours", person
        listed = {"kind": shop.saw, "lines": {}, "seen": "", "by": person, "at": NOON}
        assert code_of(set_inspection_list, **listed) == "access.not-yours", person
        service = {"machine": shop.saw_2, "done": done, "by": person, "tap": uuid.uuid4(), "at": NOON}
        assert code_of(record_service, **service) == "access.not-yours", person
        if person != cast.office:
            assert code_of(open_calendar, shop=cast.shop, by=person, at=NOON) == "access.not-yours", person
    assert Listing.objects.count() == entries
