"""Loading a class and its machines: the facts are right, and the number of queries does not grow."""

from collections.abc import Callable
from datetime import timedelta

import pytest

from machines.clearance.facts import Standing, StatusOnly
from machines.clearance.queries import answer_for, briefs_for_section, standings_for_section
from machines.clearance.rules.evaluation import may_be_signed_off
from machines.models import Machine
from quizzes.banks.editions.acts import accept_bank, take_back_acceptance
from shopsafe.school.models import Enrollment
from tests.cast import Cast
from tests.counting import queries
from tests.factories.machines import (
    NOON,
    SUMMER,
    EditionFactory,
    Floor,
    KindFactory,
    MachineFactory,
    agreed,
    asks,
    make_floor,
    passed,
    signed,
)
from tests.factories.people import EnrollmentFactory

SECOND = timedelta(seconds=1)
MOST_QUERIES = 7  # one of them for the machine types that the class uses


LOADERS = [standings_for_section, briefs_for_section]


def queries_of(load: Callable[..., object], floor: Floor) -> int:
    with queries() as sent:
        load(floor.cast.section, NOON)
    return len(sent)


@pytest.mark.parametrize("load", LOADERS)
def test_query_count_is_constant_for_many_students_and_machines(cast: Cast, load: Callable[..., object]) -> None:
    floor = make_floor(cast)
    Enrollment.objects.filter(student=cast.classmate).delete()
    Machine.objects.exclude(pk=floor.saw_2.pk).update(retired_at=NOON)
    floor.make_cleared(cast.student)
    few = queries_of(load, floor)
    for number in range(20):
        kind = KindFactory(school=cast.school)
        asks(kind, floor.general, kind.bank, floor.saw)
        MachineFactory(shop=cast.shop, kind=kind, number=number + 10)
    for enrollment in EnrollmentFactory.create_batch(29, section=cast.section):
        floor.make_cleared(enrollment.student)
    assert queries_of(load, floor) == few <= MOST_QUERIES


def test_a_cell_of_the_class_is_the_answer_of_the_student_alone(floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    floor.make_ready(floor.cast.classmate, floor.drill_1)
    matrix = standings_for_section(floor.cast.section, NOON)
    assert [machine.number for machine in matrix.machines] == [1, 2, 3]
    assert {student for student, _ in matrix.answers} == {floor.cast.student.pk, floor.cast.classmate.pk}
    for student in matrix.students:
        for machine in matrix.machines:
            assert matrix.answers[student.pk, machine.pk] == answer_for(student, machine, NOON)
    assert matrix.answers[floor.cast.student.pk, floor.saw_2.pk].standing is Standing.CLEARED
    assert matrix.answers[floor.cast.student.pk, floor.saw_3.pk].standing is Standing.READY
    assert matrix.answers[floor.cast.classmate.pk, floor.drill_1.pk].standing is Standing.READY


def test_the_briefs_of_a_class_are_its_answers_without_the_words(floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    floor.make_ready(floor.cast.classmate, floor.drill_1)
    answers = standings_for_section(floor.cast.section, NOON).answers
    briefs = briefs_for_section(floor.cast.section, NOON).answers
    assert {brief.standing for brief in briefs.values()} >= {Standing.CLEARED, Standing.READY}
    assert briefs == {
        cell: StatusOnly(answer.standing, may_be_signed_off(answer), answer.ending) for cell, answer in answers.items()
    }


def test_yesterdays_class_comes_out_as_it_was(floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    Enrollment.objects.filter(student=floor.cast.student).update(until_day=NOON.date())
    tomorrow = NOON + timedelta(days=1)
    assert floor.cast.student in standings_for_section(floor.cast.section, NOON).students
    assert floor.cast.student not in standings_for_section(floor.cast.section, tomorrow).students
    assert answer_for(floor.cast.student, floor.saw_2, NOON - timedelta(days=4)).standing is Standing.READY
    assert answer_for(floor.cast.student, floor.saw_2, SUMMER).standing is Standing.NOT_STARTED


def test_last_years_agreement_does_not_count(floor: Floor) -> None:
    agreed(floor.cast.student, 2025)
    for bank in (floor.general, floor.saw_bank):
        passed(floor.cast.student, bank)
    signed(floor.cast.student, floor.saw_2, floor.cast.teacher)
    (reason,) = answer_for(floor.cast.student, floor.saw_2, NOON).reasons
    assert reason.code == "agreement.missing"


def test_voided_attempt_counts_as_a_try_and_not_as_a_pass(floor: Floor) -> None:
    agreed(floor.cast.student)
    passed(floor.cast.student, floor.general)
    fields = {"voided_at": NOON, "voided_by": floor.cast.teacher, "void_reason": "Helped by a friend"}
    passed(floor.cast.student, floor.saw_bank, **fields)
    assert answer_for(floor.cast.student, floor.saw_2, NOON - SECOND).standing is Standing.READY
    assert answer_for(floor.cast.student, floor.saw_2, NOON).standing is Standing.TRAINING


@pytest.mark.parametrize(("counts", "standing"), [(True, Standing.CLEARED), (False, Standing.LAPSED)])
def test_a_new_edition_says_whether_earlier_passes_count(floor: Floor, counts: bool, standing: Standing) -> None:
    floor.make_cleared(floor.cast.student)
    EditionFactory(bank=floor.saw_bank, number=2, published_at=NOON, earlier_passes_count=counts)
    assert answer_for(floor.cast.student, floor.saw_2, NOON - SECOND).cleared
    assert answer_for(floor.cast.student, floor.saw_2, NOON).standing is standing


def test_the_sign_off_ends_with_the_term_in_which_it_was_made(floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    ending = answer_for(floor.cast.student, floor.saw_2, NOON).ending
    assert ending is not None
    assert (ending.by, ending.at.isoformat()) == ("term", "2027-01-16T06:00:00+00:00")


def test_the_grounds_name_the_entries_of_the_logbook(floor: Floor) -> None:
    floor.make_ready(floor.cast.student)
    signed(floor.cast.student, floor.saw_2, floor.cast.teacher)
    grounds = answer_for(floor.cast.student, floor.saw_2, NOON).grounds
    assert grounds[-1].sentence == f"Shown at the machine and signed off by {floor.cast.teacher.name}."


def test_a_stored_circle_leaves_no_one_cleared_and_nothing_hanging(floor: Floor) -> None:
    asks(floor.saw, floor.drill, holds_from=NOON)
    asks(floor.drill, floor.saw, holds_from=NOON)
    floor.make_cleared(floor.cast.student)
    signed(floor.cast.student, floor.drill_1, floor.cast.teacher)
    matrix = standings_for_section(floor.cast.section, NOON)
    assert not any(answer.cleared for answer in matrix.answers.values())


def test_withdrawn_approval_ends_clearance_until_a_new_approval(floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    student, saw, teacher = floor.cast.student, floor.saw_2, floor.cast.teacher
    take_back_acceptance(by=teacher, bank=floor.saw_bank.pk, reason="The gap is not ours.", at=NOON)
    assert answer_for(student, saw, NOON - SECOND).cleared
    answer = answer_for(student, saw, NOON)
    assert (answer.standing, [reason.code for reason in answer.reasons]) == (Standing.LAPSED, ["bank.not-accepted"])
    accept_bank(by=teacher, bank=floor.saw_bank.pk, edition=1, at=NOON + SECOND)
    assert answer_for(student, saw, NOON + SECOND).cleared
