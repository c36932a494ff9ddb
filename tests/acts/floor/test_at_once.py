"""Two taps on the floor at one moment: one effect, and the second person reads why not."""

import uuid

import pytest

from machines.floor.acts.shops import end_all_runs
from machines.holds.acts import place_hold
from machines.models import Run, SignOff
from machines.reports.hazards.acts import Sighting, report_hazard
from machines.sign_offs.acts import sign_off
from machines.tag_outs.acts import tag_out
from shopsafe.school.refusals import Refused
from tests.acts.floor.test_closing import closed
from tests.cast import make_cast
from tests.factories.at_once import answers_at_once
from tests.factories.machines import NOON, POINTS, Floor, make_floor, passed, signed
from tests.factories.shop_in_use import MINUTE, floor_faults, given, keep_runs, opened, started, stopped


@pytest.fixture
def ready(transactional_db: None) -> Floor:
    floor = make_floor(make_cast())
    for student in (floor.cast.student, floor.cast.classmate):
        floor.make_cleared(student)
        signed(student, floor.saw_3, floor.cast.teacher)
    keep_runs(floor.cast.shop)
    return floor


def test_two_students_get_one_machine(ready: Floor) -> None:
    opened(ready)
    students = (ready.cast.student, ready.cast.classmate)
    assert answers_at_once(*[lambda s=s: given(ready, s) for s in students]) == ["done", "machine.in-use"]  # type: ignore[misc]
    assert floor_faults() == ()


def test_one_student_gets_two_machines(ready: Floor) -> None:
    opened(ready)
    saws = (ready.saw_2, ready.saw_3)
    outcomes = answers_at_once(*[lambda m=m: given(ready, ready.cast.student, m) for m in saws])  # type: ignore[misc]
    assert outcomes == ["done", "student.elsewhere"]


def test_shop_is_opened_twice(ready: Floor) -> None:
    outcomes = answers_at_once(lambda: opened(ready), lambda: opened(ready, by=ready.cast.colleague))
    assert outcomes == ["done", "opening.already"]


def test_machine_is_tagged_out_as_it_is_started(ready: Floor) -> None:
    opened(ready)
    run = given(ready, ready.cast.student)
    tag = {"machine": ready.saw_2, "reason": "Blade cracked", "by": ready.cast.colleague, "tap": uuid.uuid4()}
    outcomes = answers_at_once(lambda: started(run), lambda: tag_out(at=NOON, **tag))
    assert outcomes in (["done", "done"], ["done", "machine.tagged-out"])
    # In either order: what still runs is ended by a person.
    assert stopped(Run.objects.get(), ready.cast.teacher).ended_at is not None


def test_two_tablets_sign_the_same_student(ready: Floor) -> None:
    cast, drill = ready.cast, ready.drill_1
    passed(cast.student, drill.kind.bank)
    asked = {"student": cast.student, "machine": drill, "ticked": POINTS, "at": NOON}
    outcomes = answers_at_once(
        lambda: sign_off(by=cast.teacher, tap=uuid.uuid4(), **asked),
        lambda: sign_off(by=cast.colleague, tap=uuid.uuid4(), **asked),
    )
    assert outcomes == ["done", "sign-off.already"]
    assert SignOff.objects.filter(machine=drill).count() == 1


def test_hold_is_placed_as_the_machine_is_started(ready: Floor) -> None:
    cast = ready.cast
    opened(ready)
    run = given(ready, cast.student)
    hold = {"student": cast.student, "machines": None, "reason": "horseplay", "lifts": "talk", "by": cast.colleague}
    outcomes = answers_at_once(lambda: started(run), lambda: place_hold(tap=uuid.uuid4(), at=NOON, **hold))
    assert outcomes in (["done", "done"], ["done", "student.on-hold"])
    # In either order: the run is ended by a person, and the student gets no other.
    assert stopped(Run.objects.get(), cast.teacher).ended_at is not None
    with pytest.raises(Refused) as caught:
        given(ready, cast.student, at=NOON + 6 * MINUTE)
    assert caught.value.code == "student.on-hold"


def test_report_arrives_as_the_machine_is_given(ready: Floor) -> None:
    cast = ready.cast
    opened(ready)
    seen = {"shop": cast.shop, "machine": ready.saw_2, "by": cast.classmate, "tap": uuid.uuid4(), "at": NOON}
    outcomes = answers_at_once(
        lambda: given(ready, cast.student), lambda: report_hazard(seen=Sighting("guard"), **seen)
    )  # fmt: skip
    assert outcomes in (["done", "done"], ["done", "machine.kept-off"])
    for run in Run.objects.all():
        with pytest.raises(Refused) as caught:
            started(run, at=NOON + MINUTE)
        assert caught.value.code == "machine.kept-off"


def test_shop_is_closed_as_a_machine_is_given(ready: Floor) -> None:
    opened(ready)
    outcomes = answers_at_once(lambda: given(ready, ready.cast.student), lambda: closed(ready, at=NOON + MINUTE))
    assert outcomes in (["closing.run.open", "done"], ["done", "shop.closed"])
    assert floor_faults() == ()


def test_all_runs_are_ended_twice(ready: Floor) -> None:
    opened(ready)
    ends = {"shop": ready.cast.shop, "at": NOON}
    outcomes = answers_at_once(
        lambda: end_all_runs(by=ready.cast.teacher, tap=uuid.uuid4(), **ends),
        lambda: end_all_runs(by=ready.cast.colleague, tap=uuid.uuid4(), **ends),
    )
    assert outcomes == ["done", "done"]
