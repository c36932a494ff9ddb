"""What wall cards and charts say, and what is recorded of them: whom they let through to a machine."""

from dataclasses import replace
from datetime import date, timedelta
from uuid import uuid4

import pytest
from django.db import connection

from machines.models import Machine, TagOut
from machines.prints.rules.posted import SheetContents, reprint_reasons
from machines.prints.sheets.substitute import substitute_sheet
from machines.prints.sheets.wall import ShopSnapshot, shop_snapshot, words
from machines.tag_outs.acts import tag_out
from quizzes.models import Acceptance
from shopsafe.paper.rules.sheets import TagOutNote, WallCard
from shopsafe.school.models import Enrollment, Person
from tests.factories.machines import NOON, EditionFactory, Floor, asks
from tests.factories.people import EnrollmentFactory, SectionFactory, ShopFactory, TermFactory
from tests.factories.prints import hung
from tests.factories.reports.inspections import returned
from tests.factories.substitutes import granted, with_number
from tests.logbook.logbook_bypass import lifted

LATER = NOON + timedelta(minutes=5)


def snapshot(floor: Floor) -> ShopSnapshot:
    return shop_snapshot(floor.cast.shop, LATER)


def card(floor: Floor, machine: Machine | None = None) -> tuple[WallCard, SheetContents]:
    return snapshot(floor).card(machine or floor.saw_2, [floor.cast.section])


@pytest.fixture
def cleared(floor: Floor) -> Person:
    floor.make_cleared(floor.cast.student)
    return floor.cast.student


def out(floor: Floor, machine: Machine | None = None) -> None:
    tag_out(machine=machine or floor.saw_2, reason="Blade cracked", by=floor.cast.teacher, tap=uuid4(), at=NOON)


def test_card_and_its_record_name_those_who_are_cleared(floor: Floor, cleared: Person) -> None:
    sheet, contents = card(floor)
    assert len(sheet.names) == 1
    assert contents.cleared == {(cleared.pk, floor.saw_2.pk)}
    assert contents.out_of_use is None
    assert sheet.tagged_out is None


def test_card_of_a_tagged_out_machine_names_no_one_and_nor_does_its_record(floor: Floor, cleared: Person) -> None:
    out(floor)
    sheet, contents = card(floor)
    assert sheet.names == ()
    assert contents.cleared == frozenset()
    assert contents.as_data()["cleared"] == []
    assert contents.out_of_use == TagOut.objects.get().pk
    assert sheet.tagged_out == TagOutNote("Blade cracked", date(2026, 10, 12), floor.cast.teacher.name)
    assert (sheet.valid_until, contents.valid_until) == (None, None)


def test_recorded_print_of_a_tagged_out_machine_names_no_one(floor: Floor, cleared: Person) -> None:
    out(floor)
    assert hung(floor, at=LATER).shows["cleared"] == []


def test_card_of_another_machine_keeps_its_names(floor: Floor, cleared: Person) -> None:
    out(floor, floor.saw_3)
    sheet, contents = card(floor)
    assert len(sheet.names) == len(contents.cleared) == 1


def test_card_names_people_again_after_the_return(floor: Floor, cleared: Person) -> None:
    out(floor)
    returned(TagOut.objects.get(), floor.cast.teacher, NOON + timedelta(minutes=1))
    assert card(floor)[1].cleared == {(cleared.pk, floor.saw_2.pk)}


def test_card_names_no_one_of_another_class(floor: Floor, cleared: Person) -> None:
    everyone, contents = snapshot(floor).card(floor.saw_2)
    assert (len(everyone.names), contents.cleared) == (1, {(cleared.pk, floor.saw_2.pk)})
    sections = [
        section for section in snapshot(floor).sections if cleared.pk not in snapshot(floor).members[section.pk]
    ]
    for section in sections:
        assert snapshot(floor).card(floor.saw_2, [section])[1].cleared == frozenset()


def test_chart_has_no_wheel_in_the_column_of_a_tagged_out_machine(floor: Floor, cleared: Person) -> None:
    _, before = snapshot(floor).chart(floor.cast.section)
    assert (before.cleared, before.barred) == ({(cleared.pk, floor.saw_2.pk)}, frozenset())
    out(floor)
    chart, after = snapshot(floor).chart(floor.cast.section)
    column = [machine.pk for machine in snapshot(floor).matrix.machines].index(floor.saw_2.pk)
    assert not any(column in row.cleared for row in chart.rows)
    assert [(place, note.reason) for place, note in chart.tagged_out] == [(column, "Blade cracked")]
    assert (after.cleared, after.out_of_use, after.barred) == (frozenset(), None, {floor.saw_2.pk})
    assert [reason.code for reason in reprint_reasons(before, after, date(2026, 10, 12))] == ["barred"]
    assert [reason.code for reason in reprint_reasons(after, before, date(2026, 10, 12))] == ["back"]


@pytest.mark.parametrize(
    ("ends", "shown"),
    [(0, None), (1, date(2026, 10, 13)), (10, date(2026, 10, 22))],
    ids=["today", "tomorrow", "later"],
)
def test_wheel_that_ends_before_the_term_carries_its_day(
    floor: Floor, cleared: Person, ends: int, shown: date | None
) -> None:
    """A wheel that would end on the day of printing is blank; the chart does not go out of date when one ends."""
    asks(floor.saw, floor.general, floor.saw_bank, refresh_days=3 + ends, holds_from=NOON - timedelta(days=9))
    chart, contents = snapshot(floor).chart(floor.cast.section)
    last = date(2026, 10, 12) + timedelta(days=ends)
    assert contents.days == {(cleared.pk, floor.saw_2.pk, last)}
    [row] = [row for row in chart.rows if row.name.full == cleared.name]
    assert [day for _, day in row.last_days] == ([shown] if shown else [])
    assert len(row.cleared) == bool(shown)
    assert chart.valid_until == floor.cast.section.term.last_day
    gone = replace(contents, cleared=frozenset(), days=frozenset())
    assert [reason.code for reason in reprint_reasons(contents, gone, last)] == ["gone"]
    assert reprint_reasons(contents, gone, last + timedelta(days=1)) == ()


def test_substitute_sheet_names_no_one_at_a_tagged_out_machine(floor: Floor, cleared: Person) -> None:
    with_number(floor.cast)
    granted(floor.cast)
    before = substitute_sheet(snapshot(floor), floor.cast.section)
    out(floor)
    after = substitute_sheet(snapshot(floor), floor.cast.section)
    column = [machine.pk for machine in snapshot(floor).matrix.machines].index(floor.saw_2.pk)
    assert (len(before.machines[column].names), before.machines[column].stays_off) == (1, "")
    assert (after.machines[column].names, after.machines[column].stays_off) == ((), "Tagged out: Blade cracked")


# ---- who is on a sheet -----------------------------------------------------------------------------------------------


def test_student_who_left_or_is_of_another_shop_is_on_no_sheet(floor: Floor, cleared: Person) -> None:
    before = snapshot(floor)
    assert cleared.pk in before.members[floor.cast.section.pk]
    assert floor.cast.stranger_student.pk not in {student.pk for student in before.matrix.students}
    Enrollment.objects.filter(student=cleared).update(until_day=date(2026, 10, 11))
    after = snapshot(floor)
    assert cleared.pk not in {student.pk for student in after.matrix.students}
    assert after.card(floor.saw_2)[1].cleared == after.chart(floor.cast.section)[1].cleared == frozenset()


def test_student_who_joins_tomorrow_is_on_no_sheet_today(floor: Floor, cleared: Person) -> None:
    Enrollment.objects.filter(student=cleared).update(from_day=date(2026, 10, 13))
    assert cleared.pk not in snapshot(floor).members.get(floor.cast.section.pk, set())


def test_chart_has_the_students_of_its_class_alone(floor: Floor, cleared: Person) -> None:
    other = SectionFactory(shop=floor.cast.shop, term=floor.cast.section.term, name="Another class")
    newcomer = EnrollmentFactory(section=other).student
    now = snapshot(floor)
    chart, contents = now.chart(other)
    assert (len(chart.rows), contents.cleared) == (1, frozenset())
    assert newcomer.pk in now.members[other.pk]
    assert now.card(floor.saw_2, [other])[1].cleared == frozenset()
    assert now.scope([other]) == "Another class"
    assert now.scope([]) == f"All classes of {floor.cast.shop.name}"
    assert now.scope([other, floor.cast.section]) == f"{floor.cast.section.name}, Another class"


def test_class_of_another_term_or_shop_is_on_no_sheet(floor: Floor) -> None:
    old = TermFactory(school=floor.cast.school, first_day=date(2025, 8, 1), last_day=date(2026, 6, 1))
    SectionFactory(shop=floor.cast.shop, term=old)
    SectionFactory(shop=ShopFactory(school=floor.cast.school), term=floor.cast.section.term)
    assert floor.cast.section in snapshot(floor).sections
    assert {section.shop_id for section in snapshot(floor).sections} == {floor.cast.shop.pk}
    assert {section.term_id for section in snapshot(floor).sections} == {floor.cast.section.term_id}


# ---- until when, and since when -------------------------------------------------------------------------------------


def test_sheets_are_valid_until_the_last_whole_day_of_the_first_clearance_that_ends(
    floor: Floor, cleared: Person
) -> None:
    last = floor.cast.section.term.last_day
    assert card(floor)[0].valid_until == card(floor)[1].valid_until == last
    assert snapshot(floor).chart(floor.cast.section)[1].valid_until == last
    empty, contents = card(floor, floor.saw_3)
    assert (empty.valid_until, contents.valid_until) == (None, None)


def test_tag_out_counts_from_its_moment_until_its_return(floor: Floor, cleared: Person) -> None:
    out(floor)
    before = shop_snapshot(floor.cast.shop, NOON - timedelta(seconds=1))
    assert before.out_of_use == {}
    assert floor.saw_2.pk in shop_snapshot(floor.cast.shop, NOON).out_of_use
    assert set(snapshot(floor).out_of_use) == {floor.saw_2.pk}


def test_card_says_since_which_day_its_machine_is_tagged_out(floor: Floor) -> None:
    out(floor)
    two_days_later = shop_snapshot(floor.cast.shop, NOON + timedelta(days=2))
    sheet = two_days_later.card(floor.saw_2)[0]
    assert sheet.tagged_out
    assert (sheet.tagged_out.since, sheet.printed) == (date(2026, 10, 12), date(2026, 10, 14))


# ---- what is on it --------------------------------------------------------------------------------------------------


def test_card_says_what_its_machine_type_says(floor: Floor, cleared: Person) -> None:
    sheet, kind = card(floor)[0], floor.saw_2.kind
    assert (sheet.machine, sheet.scope, sheet.stop) == ("Band saw 2", floor.cast.section.name, kind.stop)
    assert (sheet.protect, sheet.pre_use) == (tuple(kind.protect), tuple(kind.pre_use))
    assert sheet.stop_and_ask == tuple(kind.stop_and_ask)
    assert (sheet.printed, sheet.accepted, sheet.note, sheet.demo) == (date(2026, 10, 12), True, "", False)
    assert sheet.rules[:1] == ("Keep rule number 0.",)


def test_card_carries_no_rules_that_no_teacher_approves(floor: Floor, cleared: Person) -> None:
    with lifted(connection):
        Acceptance.objects.filter(edition__bank=floor.saw_bank).delete()
    sheet = card(floor)[0]
    assert (sheet.rules, sheet.accepted) == ((), False)


def test_card_is_unapproved_while_one_of_several_quizzes_is(floor: Floor, cleared: Person) -> None:
    with lifted(connection):
        Acceptance.objects.filter(edition__bank=floor.general).delete()
    sheet = card(floor)[0]
    assert (sheet.rules[:1], sheet.accepted, sheet.names) == (("Keep rule number 0.",), False, ())


def test_rules_that_came_out_without_approval_are_noted_beside_the_names(floor: Floor, cleared: Person) -> None:
    """The names passed the edition before, which counts on."""
    EditionFactory(bank=floor.general, number=2, published_at=NOON - timedelta(days=1), accepted=False)
    named, empty = card(floor)[0], card(floor, floor.saw_3)[0]
    assert (named.accepted, len(named.names), empty.accepted, empty.names) == (True, 1, True, ())
    assert floor.general.subject in named.note
    assert "The names here passed" in named.note
    assert "No one may be added" in empty.note
    [below] = snapshot(floor).chart(floor.cast.section)[0].notes
    assert floor.general.subject in below
    assert f"{floor.saw_2.number}" in below
    out(floor)
    assert (card(floor)[0].note, snapshot(floor).chart(floor.cast.section)[0].notes) == ("", ())


def test_namesakes_of_a_shop_stand_whole_on_a_card(floor: Floor, cleared: Person) -> None:
    (alone,) = card(floor)[0].names
    assert (alone.full, bool(alone.given)) == (cleared.name, True)
    name = {"student__name": cleared.name, "student__local_id": "884108"}
    EnrollmentFactory(section=floor.cast.section, **name)
    Person.objects.filter(pk=cleared.pk).update(local_id="884107")
    (told,) = card(floor)[0].names
    assert (told.full, told.given) == (f"{cleared.name} (4107)", "")


def test_record_of_the_words_covers_all_but_code_address_and_days(floor: Floor, cleared: Person) -> None:
    sheet, contents = card(floor)
    same = replace(sheet, code="XXXX", url="HTTPS://X.EXAMPLE", printed=date(2020, 1, 1), valid_until=date(2020, 1, 2))
    assert words(same) == contents.words
    others = [
        replace(sheet, stop="Shout."), replace(sheet, names=()), replace(sheet, rules=("Another rule.",)),
        replace(sheet, note="A note"), replace(sheet, accepted=False), replace(sheet, scope="Another"),
    ]  # fmt: skip
    assert len({contents.words, *map(words, others)}) == 1 + len(others)


def test_chart_numbers_its_machines_by_what_is_painted_on_them(floor: Floor) -> None:
    assert snapshot(floor).chart(floor.cast.section)[0].numbers == ()
    Machine.objects.filter(pk=floor.saw_3.pk).update(number=7)
    assert snapshot(floor).chart(floor.cast.section)[0].numbers == (1, 2, 7)
