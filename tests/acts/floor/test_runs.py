"""A machine is given, checked, started, and stands still: one student at each machine, one machine a student."""

import uuid
from datetime import datetime, timedelta

import pytest
from django.db import IntegrityError, transaction

from machines.floor.acts.helpers import name_helper, release_helper
from machines.floor.acts.shops import end_all_runs
from machines.floor.acts.supervising import grant_supervising
from machines.floor.checks import check_lines
from machines.holds.acts import place_hold
from machines.models import MachineKind, PresenceConfirmation, Run
from machines.tag_outs.acts import tag_out
from shopsafe.school.here_today.acts import save_here_today
from shopsafe.school.models import Person
from tests.acts.reading import code_of, last_entry
from tests.factories.machines import NOON, Floor, signed
from tests.factories.shop_in_use import MINUTE, floor_faults, given, keep_runs, opened, running, started, stopped
from tests.factories.substitutes import with_number

LATER = NOON + 2 * MINUTE


@pytest.fixture
def ready(floor: Floor) -> Floor:
    """An open shop with two students who are cleared on both band saws."""
    for student in (floor.cast.student, floor.cast.classmate):
        floor.make_cleared(student)
        signed(student, floor.saw_3, floor.cast.teacher)
    opened(floor)
    return floor


def held(floor: Floor, at: datetime, student: Person | None = None) -> None:
    who = {"student": student or floor.cast.student, "by": floor.cast.teacher}
    place_hold(machines=None, reason="dress", lifts="talk", tap=uuid.uuid4(), at=at, **who)


def test_given_checked_running_stopped(ready: Floor) -> None:
    student = ready.cast.student
    run = given(ready, student)
    assert last_entry()[0] == "run.given"
    started(run, at=LATER)
    kind, payload = last_entry()
    assert (kind, payload["checks"], "by" in payload) == ("run.started", check_lines(ready.saw), False)
    stopped(run)
    kind, payload = last_entry()
    assert (kind, payload["run"], "by" in payload) == ("run.ended", run.pk, False)
    assert floor_faults() == ()


def test_teacher_checks_and_stops(ready: Floor) -> None:
    run = stopped(started(given(ready, ready.cast.student), ready.cast.teacher, LATER), ready.cast.colleague)
    assert (run.checked_by, run.ended_by) == (ready.cast.teacher, ready.cast.colleague)
    assert floor_faults() == ()


def test_second_student_reads_who_has_the_machine(ready: Floor) -> None:
    given(ready, ready.cast.student)
    assert code_of(given, ready, ready.cast.classmate) == "machine.in-use"
    assert code_of(given, ready, ready.cast.student) == "machine.in-use"


def test_one_machine_for_each_student(ready: Floor) -> None:
    given(ready, ready.cast.student)
    assert code_of(given, ready, ready.cast.student, ready.saw_3) == "student.elsewhere"


def test_the_database_refuses_a_second_run(ready: Floor) -> None:
    run = given(ready, ready.cast.student)
    fields = {"school": ready.cast.school, "opening": run.opening, "given_by": ready.cast.teacher, "given_at": NOON}
    for machine, student in ((ready.saw_2, ready.cast.classmate), (ready.saw_3, ready.cast.student)):
        with pytest.raises(IntegrityError), transaction.atomic():
            Run.objects.create(machine=machine, student=student, **fields)


def test_same_tap_is_the_same_run(ready: Floor) -> None:
    tap = uuid.uuid4()
    assert given(ready, ready.cast.student, tap=tap) == given(ready, ready.cast.student, tap=tap)
    assert code_of(given, ready, ready.cast.classmate, tap=tap) == "give.tap-used"


@pytest.mark.parametrize(
    ("who", "code"),
    [("not cleared", "student.not-cleared"), ("held", "student.on-hold"), ("tagged out", "machine.tagged-out")],
)
def test_is_not_given(floor: Floor, who: str, code: str) -> None:
    cast = floor.cast
    opened(floor)
    if who != "not cleared":
        floor.make_cleared(cast.student)
    if who == "held":
        held(floor, NOON)
    if who == "tagged out":
        tag_out(machine=floor.saw_2, reason="Blade cracked", by=cast.teacher, tap=uuid.uuid4(), at=NOON)
    assert code_of(given, floor, cast.student) == code


def test_a_student_who_is_marked_as_away_gets_nothing(ready: Floor) -> None:
    cast = ready.cast
    save_here_today(section=cast.section, away=[cast.student.pk], version="", by=cast.teacher, at=NOON)
    assert code_of(given, ready, cast.student) == "student.not-here"
    given(ready, cast.classmate)


def test_closed_shop_gives_nothing(floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    keep_runs(floor.cast.shop)
    assert code_of(given, floor, floor.cast.student) == "shop.closed"


def test_shop_that_keeps_no_runs_says_so(floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    keep_runs(floor.cast.shop, keeps_runs=False)
    opened(floor)
    assert code_of(given, floor, floor.cast.student) == "runs.not-kept"


def test_every_line_of_the_check_is_asked(ready: Floor) -> None:
    run = given(ready, ready.cast.student)
    lines = check_lines(ready.saw)
    assert code_of(started, run, checked=lines[1:]) == "check.missing"
    assert code_of(started, run, checked=[*lines, "Something else"]) == "check.changed"
    started(run)
    assert code_of(started, run) == "start.already"


def test_all_is_asked_again_at_the_start(ready: Floor) -> None:
    cast = ready.cast
    run = given(ready, cast.student)
    tag_out(machine=ready.saw_2, reason="Blade cracked", by=cast.teacher, tap=uuid.uuid4(), at=NOON)
    assert code_of(started, run) == "machine.tagged-out"
    other = given(ready, cast.classmate, ready.saw_3)
    assert code_of(started, other, at=NOON + 16 * MINUTE) == "shop.presence-over"
    end_all_runs(shop=cast.shop, by=cast.teacher, tap=uuid.uuid4(), at=LATER)
    assert code_of(started, other, at=LATER) == "shop.runs-ended"


def test_a_run_that_was_never_started_ends_too(ready: Floor) -> None:
    run = stopped(given(ready, ready.cast.student))
    assert (run.started_at, code_of(started, run)) == (None, "start.over")
    given(ready, ready.cast.classmate, at=NOON + 6 * MINUTE)


@pytest.mark.parametrize("what", ["tag-out", "hold", "presence over", "end all"])
def test_stops_whatever_happened_during_the_run(ready: Floor, what: str) -> None:
    cast = ready.cast
    run, at = running(ready, cast.student), NOON + MINUTE
    if what == "tag-out":
        tag_out(machine=ready.saw_2, reason="Blade cracked", by=cast.teacher, tap=uuid.uuid4(), at=at)
    if what == "hold":
        held(ready, at)
    if what == "presence over":
        at = NOON + 30 * MINUTE
    if what == "end all":
        end_all_runs(shop=cast.shop, by=cast.teacher, tap=uuid.uuid4(), at=at)
    assert stopped(run, at=at + MINUTE).ended_at == at + MINUTE
    assert stopped(run, cast.teacher, at=at + 2 * MINUTE).ended_at == at + MINUTE


def test_giving_counts_as_presence(ready: Floor) -> None:
    given(ready, ready.cast.student, at=NOON + 10 * MINUTE)
    assert PresenceConfirmation.objects.order_by("-pk")[0].means == "start"
    given(ready, ready.cast.classmate, ready.saw_3, at=NOON + 20 * MINUTE)
    assert floor_faults() == ()


def test_no_one_else_gives_starts_or_stops(ready: Floor) -> None:
    cast = ready.cast
    run = given(ready, cast.student)
    for person in cast.not_teachers:
        assert code_of(given, ready, cast.classmate, ready.saw_3, by=person) in {"access.not-yours", "floor.no-grant"}
        if person != cast.student:
            assert code_of(started, run, person) in {"access.not-yours", "floor.no-grant"}
            assert code_of(stopped, run, person) in {"access.not-yours", "floor.no-grant"}


class TestHelpers:
    @pytest.fixture
    def asks_one(self, ready: Floor) -> Floor:
        MachineKind.objects.filter(pk=ready.saw.pk).update(helpers=1, helper_role="outfeed")
        for machine in (ready.saw_2, ready.saw_3):
            machine.kind.refresh_from_db()
        return ready

    def test_runs_only_with_its_helper(self, asks_one: Floor) -> None:
        cast = asks_one.cast
        run = given(asks_one, cast.student)
        assert code_of(started, run) == "helper.missing"
        helper = name_helper(run=run, student=cast.classmate, by=cast.teacher, tap=uuid.uuid4(), at=LATER)
        assert last_entry()[0] == "helper.named"
        assert code_of(given, asks_one, cast.classmate, asks_one.saw_3, at=LATER) == "student.elsewhere"
        started(run, at=LATER)
        release_helper(helper=helper, by=cast.teacher, tap=uuid.uuid4(), at=LATER)
        given(asks_one, cast.classmate, asks_one.saw_3, at=LATER + MINUTE)
        assert floor_faults() == ()

    def test_refuses_a_helper_who_may_not_help(self, asks_one: Floor) -> None:
        cast = asks_one.cast
        run = given(asks_one, cast.student)
        asked = {"run": run, "by": cast.teacher, "at": LATER}
        assert code_of(name_helper, student=cast.student, tap=uuid.uuid4(), **asked) == "helper.the-user"
        held(asks_one, LATER, cast.classmate)
        assert code_of(name_helper, student=cast.classmate, tap=uuid.uuid4(), **asked) == "helper.on-hold"
        for person in cast.not_teachers:
            again = asked | {"by": person}
            code = code_of(name_helper, student=cast.classmate, tap=uuid.uuid4(), **again)
            assert code in {"access.not-yours", "floor.no-grant"}


def test_substitute_runs_the_floor_by_a_grant(ready: Floor) -> None:
    cast = ready.cast
    with_number(cast)
    grant_supervising(
        section=cast.section, substitute=cast.substitute, day=NOON.date(), by=cast.office, tap=uuid.uuid4(), at=NOON
    )
    run = given(ready, cast.student, by=cast.substitute)
    stopped(started(run, cast.substitute), cast.substitute)
    opened_again = NOON + timedelta(days=1)
    assert code_of(opened, ready, at=opened_again, by=cast.substitute) == "floor.no-grant"
