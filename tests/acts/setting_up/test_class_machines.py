"""A class has its machines: its students are offered these and no others."""

from datetime import timedelta
from typing import Any

from machines.bench.queries import bench_of
from machines.clearance.queries import briefs_for_section
from machines.setting_up.acts.class_machines import set_class_machines
from tests.acts.reading import code_of
from tests.cast import Cast
from tests.factories.machines import NOON, Floor, asks


def choose(cast: Cast, *kinds: Any, **more: Any) -> Any:
    return set_class_machines(**{"section": cast.section, "kinds": kinds, "by": cast.teacher, "at": NOON} | more)


def test_students_are_offered_the_machines_of_their_class(cast: Cast, floor: Floor) -> None:
    assert len(bench_of(cast.student, NOON).rows) == 2
    choose(cast, floor.drill)
    assert [row.machine for row in bench_of(cast.student, NOON).rows] == [floor.drill_1]
    assert briefs_for_section(cast.section, NOON).machines == [floor.drill_1]
    assert len(briefs_for_section(cast.section, NOON - timedelta(minutes=1)).machines) == 3


def test_latest_choice_counts(cast: Cast, floor: Floor) -> None:
    choose(cast, floor.drill)
    choose(cast, floor.saw, at=NOON + timedelta(minutes=1))
    machines = briefs_for_section(cast.section, NOON + timedelta(minutes=2)).machines
    assert machines == [floor.saw_2, floor.saw_3]


def test_a_machine_that_is_asked_for_first_belongs_to_the_choice(cast: Cast, floor: Floor) -> None:
    asks(floor.saw, floor.drill, holds_from=NOON - timedelta(days=1), set_at=NOON - timedelta(days=1))
    assert code_of(choose, cast, floor.saw) == "class-machines.needs"
    choose(cast, floor.saw, floor.drill)


def test_an_empty_choice_and_others_are_refused(cast: Cast, floor: Floor) -> None:
    assert code_of(choose, cast) == "class-machines.none"
    assert code_of(choose, cast, floor.far_saw.kind) == "class-machines.elsewhere"
    for person in (cast.student, cast.substitute, cast.colleague, cast.stranger_teacher):
        assert code_of(choose, cast, floor.drill, by=person) == "access.not-yours"
