"""What the floor adds to a report, and incidents per 1000 hours of runs."""

import json
from datetime import timedelta
from io import StringIO
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from machines.incidents.rates import MachineRate, rates_of
from machines.models import FloorSettings, IncidentAccount, IncidentVersion, Run
from tests.factories.machines import NOON, Floor
from tests.factories.reports.incidents import begun, follow_up_of
from tests.factories.shop_in_use import MINUTE, opened, running, stopped

HOUR = timedelta(hours=1)


def lines_of(known: dict[str, Any]) -> dict[str, str]:
    return {line["label"]: line["text"] for line in known["lines"]}


@pytest.fixture
def in_use(floor: Floor) -> Floor:
    """The shop is open, the student is at band saw 2 since 12:01, and the classmate at the drill press."""
    cast = floor.cast
    opened(floor, NOON)
    floor.make_cleared(cast.student)
    floor.make_cleared(cast.classmate, floor.drill_1)
    running(floor, cast.student, floor.saw_2, NOON + MINUTE)
    running(floor, cast.classmate, floor.drill_1, NOON + 2 * MINUTE)
    return floor


class TestKnown:
    def test_run_and_check_of_the_moment(self, in_use: Floor) -> None:
        begun(in_use, at=NOON + 9 * MINUTE, happened_at=NOON + 5 * MINUTE)
        said = lines_of(IncidentAccount.objects.get().known)
        assert said["Run"] == f"At Band saw 2, given by {in_use.cast.teacher.name} at 12:01 PM."
        assert said["Check before use"].startswith("Done at 12:01 PM by the student: ")

    def test_run_that_had_ended(self, in_use: Floor) -> None:
        run = Run.objects.get(student=in_use.cast.student)
        stopped(run, at=NOON + 4 * MINUTE)
        begun(in_use, at=NOON + 9 * MINUTE, happened_at=NOON + 5 * MINUTE)
        assert "and stopped at 12:04 PM." in lines_of(IncidentAccount.objects.get().known)["Run"]

    def test_run_that_began_later_is_not_of_that_moment(self, in_use: Floor) -> None:
        begun(in_use, at=NOON + 9 * MINUTE, happened_at=NOON)
        assert lines_of(IncidentAccount.objects.get().known)["Run"] == "Had no machine that day."

    def test_shop_with_no_student_named(self, in_use: Floor) -> None:
        cast = in_use.cast
        begun(in_use, at=NOON + 9 * MINUTE, happened_at=NOON + 5 * MINUTE)
        known = IncidentVersion.objects.get().known
        said = lines_of(known)
        assert said["Shop"] == (
            f"Open since 12:00 PM for {cast.section.name}. {cast.teacher.name} confirmed being in the room at 12:02 PM."
        )
        assert said["Other machines in use"] == "1"
        assert not any(student.name in json.dumps(known) for student in (cast.student, cast.classmate))

    def test_shop_that_was_not_open(self, in_use: Floor) -> None:
        begun(in_use, at=NOON + 9 * MINUTE, happened_at=NOON - MINUTE)
        assert lines_of(IncidentVersion.objects.get().known)["Shop"] == "Not open."

    def test_shop_without_runs_says_nothing_of_them(self, floor: Floor) -> None:
        begun(floor)
        assert "Shop" not in lines_of(IncidentVersion.objects.get().known)
        assert lines_of(IncidentAccount.objects.get().known)["Run"] == "Runs are not kept in this shop."


class TestRates:
    def rates(self, floor: Floor) -> dict[str, MachineRate]:
        return {row.name: row for row in rates_of([floor.cast.shop], NOON + 2 * HOUR)}

    def ran(self, in_use: Floor) -> Floor:
        """Half an hour at the band saw, and the drill press still running."""
        stopped(Run.objects.get(student=in_use.cast.student), at=NOON + 31 * MINUTE)
        return in_use

    def test_count_incidents_against_the_hours_of_runs_that_ended(self, in_use: Floor) -> None:
        begun(self.ran(in_use), at=NOON + HOUR)
        rates = self.rates(in_use)
        assert list(rates) == ["band saw", "Band saw 2"]
        rate = rates["Band saw 2"].rate
        assert (rate.events, rate.hours) == (1, 0.5)
        assert rate.words == "1 in 0.5 hours; could be anywhere from 50.6 to 11,143 per 1000"
        assert (rates["band saw"].is_type, rates["band saw"].rate) == (True, rate)

    def test_welcome_near_misses_without_a_rate(self, in_use: Floor) -> None:
        for sort in ("near-miss", "misuse"):
            begun(self.ran(in_use) if sort == "near-miss" else in_use, at=NOON + HOUR, sort=sort)
        row = self.rates(in_use)["Band saw 2"]
        assert (row.rate.events, row.near_misses) == (0, 1)
        assert row.rate.words.startswith("None in 0.5 hours")

    def test_leave_out_what_happened_before_runs_were_kept(self, in_use: Floor) -> None:
        begun(self.ran(in_use), at=NOON + HOUR, happened_at=NOON - HOUR)
        assert self.rates(in_use)["Band saw 2"].rate.events == 0

    def test_are_never_given_where_runs_are_not_kept(self, in_use: Floor) -> None:
        begun(self.ran(in_use), at=NOON + HOUR)
        FloorSettings.objects.update(keeps_runs=False)
        assert self.rates(in_use) == {}


class TestCommand:
    def said(self, *arguments: str) -> dict[str, Any]:
        out = StringIO()
        call_command("incidents", *arguments, stdout=out)
        report: dict[str, Any] = json.loads(out.getvalue())
        return report

    def test_prints_reports_follow_ups_and_rates_without_a_students_name(self, floor: Floor) -> None:
        incident, shop = begun(floor), floor.cast.shop
        follow_up_of(incident, floor.cast.teacher)
        said = self.said(shop.name)
        assert said == self.said(str(shop.pk))
        assert [(row["report"], row["due"], row["complete"]) for row in said["reports"]] == [
            (incident.pk, "2026-10-19", False)
        ]
        assert [row["words"] for row in said["follow_ups"]] == ["A longer push stick"]
        assert said["rates"] == []
        assert floor.cast.student.name not in json.dumps(said)

    def test_asks_for_a_shop_that_is_there(self, floor: Floor) -> None:
        with pytest.raises(CommandError, match="There is no shop"):
            self.said("Attic")
