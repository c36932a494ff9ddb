"""Erasing a student's record: what goes, what others keep, who may, and that the logbook still holds."""

import json
from datetime import date, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.apps import apps
from django.db import connection
from django.test import Client

from machines.holds.acts import lift_hold, place_hold
from machines.incidents.facts import OwnPart
from machines.models import Hold, Run, RunHelper, ShopOpening, SignOff, WaitingStudent
from machines.prints.queries import hanging_in
from machines.prints.sheets.wall import shop_snapshot
from machines.records import erasure
from machines.records.acts import erase_student
from machines.reports.hazards.acts import Sighting, report_hazard
from machines.sign_offs.acts import withdraw_sign_off
from machines.sign_offs.acts.not_yet import record_not_yet
from quizzes.models import Answer, Attempt, Release, RuleRead
from shopsafe.logbook import queries
from shopsafe.logbook.models import Body, Entry, Erasure, Subject
from shopsafe.logbook.verification.verify import verify
from shopsafe.school.here_today.acts import save_here_today
from shopsafe.school.models import Keeping, Person, Session
from shopsafe.school.people.acts.moves import end_enrollment
from shopsafe.school.retention.acts import keep_record, let_record_go
from tests.acts.reading import code_of, entries, last_entry
from tests.factories.logbook import note
from tests.factories.machines import NOON, POINTS, Floor, signed
from tests.factories.prints import chart_hung, hung
from tests.factories.reports.incidents import begun
from tests.factories.reports.photos import png
from tests.logbook.logbook_bypass import lifted
from tests.logbook.record import chain_holds

LATER = NOON + timedelta(days=40)


def gone(floor: Floor, **changes: Any) -> Any:
    asked = {"student": floor.cast.student, "reason": "The family asked for it.", "by": floor.cast.office, "at": LATER}
    return erase_student(**(asked | changes))


def used_machines(floor: Floor, student: Person) -> None:
    """A run with a helper, help at another's run, and a place on a waiting list."""
    cast = floor.cast
    opened = {"school": cast.school, "shop": cast.shop, "opened_by": cast.teacher, "opened_at": NOON}
    opening = ShopOpening.objects.create(**opened)
    for user, helper in ((student, cast.classmate), (cast.classmate, student)):
        given = {"school": cast.school, "opening": opening, "given_by": cast.teacher, "given_at": NOON}
        run = Run.objects.create(machine=floor.saw_2, student=user, ended_at=NOON, **given)
        RunHelper.objects.create(school=cast.school, run=run, student=helper, by=cast.teacher, at=NOON)
        waits = {"school": cast.school, "opening": opening, "machine": floor.saw_3, "joined_at": NOON}
        WaitingStudent.objects.create(student=user, **waits)


def lived(floor: Floor) -> Person:
    """A student with something in every table, who has left."""
    cast = floor.cast
    student = cast.student
    first = floor.make_cleared(student)
    signed(student, floor.saw_2, cast.teacher, NOON, renews=first)
    withdraw_sign_off(sign_off=first, by=cast.teacher, reason="Wrong saw", at=NOON)
    hold = place_hold(
        student=student, machines=[floor.saw_2], reason="dress", lifts="talk", by=cast.teacher, tap=uuid4(), at=NOON
    )
    lift_hold(hold=hold, by=cast.teacher, words="Talked", at=NOON + timedelta(hours=1))
    attempt = Attempt.objects.filter(student=student)[0]
    with lifted(connection):  # the attempt was made as handed in
        Answer.objects.create(attempt=attempt, question="q1", response={"picked": [1]}, saved_at=NOON)
    RuleRead.objects.create(attempt=attempt, rule="r1", opened_at=NOON)
    Release.objects.create(school=cast.school, attempt=attempt, released_by=cast.teacher, released_at=NOON)
    used_machines(floor, student)
    seen = Sighting("noise", "It rattles", png())
    report_hazard(shop=cast.shop, machine=floor.saw_3, seen=seen, by=student, tap=uuid4(), at=NOON)
    begun(floor, sort="near-miss", machine=None, own={student.pk: OwnPart("no one")})
    asked = {"again": [POINTS[0]], "not_shown": [], "note": "", "tap": uuid4(), "at": NOON}
    record_not_yet(student=student, machine=floor.saw_3, by=cast.teacher, **asked)
    keep_record(student=student, reason="An appeal is open", by=cast.office, at=NOON)
    let_record_go(student=student, by=cast.office, at=NOON)
    save_here_today(section=cast.section, away=[student.pk], version="", by=cast.teacher, at=NOON)
    end_enrollment(section=cast.section, student=student, by=cast.teacher, at=NOON)
    return student


class TestGoes:
    def test_every_row_and_every_word(self, floor: Floor) -> None:
        student = lived(floor)
        named = Subject.objects.filter(key=f"person:{student.pk}").values_list("entry", flat=True).distinct()
        seqs = sorted(named)
        done = gone(floor)
        assert [count > 0 for count, _ in done.going.parts] == [True] * len(erasure.PARTS)
        assert all(not part.rows(student).exists() for part in erasure.PARTS)
        assert not Person.objects.filter(pk=student.pk).exists()
        assert not Subject.objects.filter(key=f"person:{student.pk}").exists()
        assert not Body.objects.filter(pk__in=seqs).exists()
        assert sorted(Erasure.objects.filter(by=done.entry).values_list("pk", flat=True)) == seqs
        assert not any(student.name.encode() in bytes(row) for row in Body.objects.values_list("payload", flat=True))

    def test_the_logbook_holds_before_and_after_and_says_what_was_done(self, floor: Floor) -> None:
        lived(floor)
        assert chain_holds()
        size = Entry.objects.count()
        done = gone(floor)
        verdict = verify()
        assert verdict.fault is None
        assert (verdict.entries, verdict.erased) == (size + 1, len(done.going.entries))
        kind, payload = last_entry()
        assert kind == "logbook.erased"
        assert (payload["reason"], payload["seqs"]) == ("The family asked for it.", list(done.going.entries))
        assert payload["by"] == floor.cast.office.as_record()

    def test_only_this_student(self, floor: Floor) -> None:
        mate = floor.cast.classmate
        floor.make_cleared(mate)
        note(mate)
        lived(floor)
        # A helper at a run goes with the run: it says nothing without it.
        parts = [part for part in erasure.PARTS if part.model is not RunHelper]
        before = {part.model: part.rows(mate).count() for part in parts}
        gone(floor)
        assert {part.model: part.rows(mate).count() for part in parts} == before
        assert json.loads(entries("student.let_in")[0])["student"] == mate.as_record()

    def test_sessions_of_the_erased_student_end(self, floor: Floor) -> None:
        student = lived(floor)
        theirs, other = Client(), Client()
        theirs.force_login(student)
        other.force_login(floor.cast.classmate)
        gone(floor)
        assert Session.objects.count() == 1
        assert theirs.get("/bench/").status_code == 302
        assert other.get("/bench/").status_code == 200

    def test_a_student_the_logbook_says_nothing_of(self, floor: Floor) -> None:
        floor.cast.student.enrollments.update(until_day=date(2026, 9, 2))
        done = gone(floor)
        assert done.entry is None
        assert Entry.objects.count() == 0
        assert not Person.objects.filter(pk=floor.cast.student.pk).exists()


class TestOthers:
    def test_shared_entry_is_restated_without_the_erased_student(self, floor: Floor) -> None:
        cast, student = floor.cast, lived(floor)
        shared = note(
            cast.classmate,
            kind="hazard.reported",
            reporter=student.as_record(),
            witnesses=[student.as_record(), cast.teacher.as_record()],
            words=f"{student.name} saw the guard hang loose",
        )
        done = gone(floor)
        assert done.going.shared == (shared.seq,)
        assert not Body.objects.filter(pk=shared.seq).exists()
        kind, payload = last_entry()
        assert kind == "logbook.restated"
        assert payload["restates"] == {"entry": shared.seq, "kind": "hazard.reported", "at": "2026-09-14T15:05:09Z"}
        assert payload["words"] == "(erased) saw the guard hang loose"
        assert payload["student"] == cast.classmate.as_record()
        assert payload["witnesses"] == [cast.teacher.as_record()]
        assert "reporter" not in payload
        assert chain_holds()
        line = queries.lines(queries.listings_about(queries.listings(cast.school.pk), [f"person:{cast.classmate.pk}"]))[
            0
        ]
        assert line.sentence.startswith(f"Written again: entry {shared.seq}, without someone")

    def test_written_again_twice_it_still_names_the_first_entry(self, floor: Floor) -> None:
        cast, student = floor.cast, lived(floor)
        mate = cast.classmate
        both = [student.as_record(), mate.as_record()]
        shared = note(cast.stranger_student, kind="hazard.reported", students=both)
        gone(floor)
        mate.enrollments.update(until_day=date(2026, 9, 2))
        gone(floor, student=mate)
        kind, payload = last_entry()
        assert kind == "logbook.restated"
        assert (payload["restates"]["entry"], payload["restates"]["kind"]) == (shared.seq, "hazard.reported")
        assert payload["students"] == []
        assert chain_holds()

    def test_a_name_in_the_words_of_others_is_pointed_at(self, floor: Floor) -> None:
        student = lived(floor)
        everywhere = {"kind": "hold.placed", "machines": "every machine"}
        other = note(floor.cast.classmate, words=f"Pushed {student.name} at the saw", **everywhere)
        note(floor.cast.stranger_student, words=student.name, **everywhere)
        assert erasure.erasure_plan(student, LATER).mentions == (other.seq,)
        assert gone(floor).going.mentions == (other.seq,)

    def test_posted_sheets_that_name_the_erased_student_need_reprinting(self, floor: Floor) -> None:
        cast, student = floor.cast, floor.cast.student
        floor.make_cleared(student)
        note(student)  # no agreement is without its entry
        card, chart = hung(floor), chart_hung(floor)
        other = hung(floor, floor.drill_1)
        later = NOON + timedelta(hours=1)
        cast.student.enrollments.update(until_day=NOON.date() - timedelta(days=1))
        assert set(erasure.erasure_plan(student, later).prints) == {card.code, chart.code}
        gone(floor, at=later)
        flagged = {
            posted_print.printed.code: posted_print
            for posted_print in hanging_in(shop_snapshot(cast.shop, later))
            if posted_print.changes
        }
        assert set(flagged) == {card.code, chart.code}
        assert "Someone who left: no longer on band saw 2" in flagged[card.code].changes
        assert other.code not in flagged


class TestRefused:
    def test_erasure_is_refused_to_everyone_but_the_office(self, floor: Floor) -> None:
        lived(floor)
        cast = floor.cast
        for person in (cast.teacher, cast.colleague, *cast.not_teachers):
            if person != cast.office:
                assert code_of(gone, floor, by=person) == "access.not-yours"
        assert Person.objects.filter(pk=cast.student.pk).exists()

    def test_erasure_is_refused_while_the_student_is_enrolled(self, floor: Floor) -> None:
        assert code_of(gone, floor, at=NOON) == "erase.enrolled"
        assert gone(floor, at=NOON + timedelta(days=365)).going.stays is None

    def test_erasure_is_refused_while_the_office_keeps_the_record(self, floor: Floor) -> None:
        student = lived(floor)
        keep_record(student=student, reason="A claim is open", by=floor.cast.office, at=NOON)
        assert code_of(gone, floor) == "erase.kept"
        let_record_go(student=student, by=floor.cast.office, at=NOON)
        gone(floor)

    def test_after_an_injury_until_the_school_s_years_are_over(self, floor: Floor) -> None:
        student = lived(floor)
        place_hold(
            student=student, machines=None, reason="injury", lifts="office", by=floor.cast.teacher, tap=uuid4(), at=NOON
        )
        assert code_of(gone, floor) == "erase.injury"
        school = floor.cast.school
        school.keep_years_injury = 5
        school.save(update_fields=["keep_years_injury"])
        student.refresh_from_db()
        assert code_of(gone, floor, at=LATER.replace(year=2031, month=12, day=31)) == "erase.injury"
        gone(floor, at=LATER.replace(year=2032, month=1, day=1, hour=7))

    @pytest.mark.parametrize("reason", ["", "  "])
    def test_erasure_is_refused_without_a_reason(self, floor: Floor, reason: str) -> None:
        lived(floor)
        assert code_of(gone, floor, reason=reason) == "erase.no-reason"

    def test_a_reason_that_carries_the_name_on(self, floor: Floor) -> None:
        student = lived(floor)
        for reason in (f"{student.given_name} left", "VALE, moved away", "vále moved"):
            assert code_of(gone, floor, reason=reason) == "erase.reason-names"

    def test_twice_and_of_a_teacher(self, floor: Floor) -> None:
        student = lived(floor)
        key = student.pk
        gone(floor)
        student.pk = key
        assert code_of(gone, floor, student=student, by=None) == "erase.no-student"
        assert code_of(gone, floor, student=floor.cast.teacher, by=None) == "erase.no-student"


def test_is_all_or_nothing(floor: Floor, monkeypatch: Any) -> None:
    student = lived(floor)

    def fails(self: Person) -> None:
        raise OSError("the disk is full")

    monkeypatch.setattr(Person, "delete", fails)
    with pytest.raises(OSError, match="disk is full"):
        gone(floor)
    assert SignOff.objects.filter(student=student).count() == 2
    assert Hold.objects.filter(student=student).exists()
    assert Keeping.objects.filter(student=student).exists()
    assert not Erasure.objects.exists()
    assert chain_holds()


def test_tables_are_gone_through_in_an_order_that_the_keys_allow() -> None:
    places = {part.model: place for place, part in enumerate(erasure.PARTS)}
    for model, place in places.items():
        for field in model._meta.get_fields():
            if field.many_to_one and field.related_model in places and field.related_model != model:
                assert place < places[field.related_model], f"{model.__name__} points at {field.related_model.__name__}"
    assert apps.get_model("school", "Person") not in places
