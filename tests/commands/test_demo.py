"""The demo school: it loads, it shows every standing, and a real one is never written over."""

import json
from datetime import timedelta
from io import StringIO
from uuid import uuid4

import pytest
import time_machine
from django.core.management import CommandError, call_command
from django.utils import timezone

from machines.clearance.facts import Standing
from machines.clearance.queries import standings_for_section
from machines.models import HazardReport, Run
from machines.reports.hazards.acts import Sighting, report_hazard
from machines.reports.inspections.queries import due_inspections
from shopsafe.logbook.models import Body
from shopsafe.logbook.queries import last_moment
from shopsafe.logbook.rules.field_labels import LABELS
from shopsafe.logbook.verification.verify import verify
from shopsafe.school.models import Person, School, Section, Shop
from shopsafe.school.sheet_words.queries import substitute_words_of
from tests.factories.people import SchoolFactory
from tests.logbook.appended import parts_of


def run(*words: str) -> str:
    output = StringIO()
    call_command("demo", *words, stdout=output)
    return output.getvalue()


def test_loads_a_school_with_every_standing_and_a_sound_logbook(db: None) -> None:
    run("--if-empty")
    school = School.objects.get()
    assert school.is_demo
    counts = [Person.objects.filter(school=school, role=role).count() for role in ("student", "teacher")]
    assert (*counts, Section.objects.count(), Shop.objects.get().machines.count()) == (40, 2, 4, 8)
    standings = {
        answer.standing
        for section in Section.objects.all()
        for answer in standings_for_section(section, timezone.now()).answers.values()
    }
    assert standings == set(Standing)
    assert verify().holds
    assert {part for body in Body.objects.all() for part in parts_of(json.loads(body.payload))} <= LABELS.keys()
    teacher = Person.objects.filter(role="teacher").order_by("pk")[0]
    overdue = [row for row in due_inspections(teacher, timezone.now()) if row.is_overdue]
    assert [(row.machine.number, row.often) for row in overdue if row.often == "each term"] == [(4, "each term")]
    assert substitute_words_of(Shop.objects.get()).has_number  # to call when something happens
    assert not HazardReport.objects.filter(ended_at=None).exists()
    assert "Inga Vale" in run("--sign-ins")
    with pytest.raises(CommandError, match="already"):
        run()


def test_demo_opened_again_right_after_an_entry_records_nothing_in_the_future(db: None) -> None:
    """Every page would say that the clock is behind, and the shop would stay shut until then."""
    run("--if-empty")
    school = School.objects.get()
    student = Person.objects.filter(school=school, role="student").order_by("pk")[0]
    later = timezone.now() + timedelta(minutes=20)  # no teacher has confirmed being there since
    with time_machine.travel(later, tick=False):
        report_hazard(shop=Shop.objects.get(), machine=None, by=student, seen=Sighting("floor"), tap=uuid4())
        run("--if-empty")
    assert last_moment(school.pk) == later
    with time_machine.travel(later + timedelta(hours=1), tick=False):
        run("--if-empty")
    assert Run.objects.filter(ended_at=None, given_at__gt=later).exists()


def test_stays_out_of_a_database_that_is_in_use(db: None) -> None:
    SchoolFactory(name="Alderbeck Lower School")
    run("--if-empty")
    assert School.objects.count() == 1
    assert run("--sign-ins") == ""
