"""`manage.py wall_card` and `manage.py wall_chart`."""

import json
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from machines.models import Print
from quizzes.models import Acceptance
from shopsafe.logbook.models import Checkpoint
from shopsafe.logbook.rules.checkpoint_codes import short_code
from tests.factories.machines import NOON, Floor, MachineFactory
from tests.logbook.logbook_bypass import take_out
from tests.paper import looking


def run(command: str, *args: str, **more: Any) -> dict[str, Any]:
    output = StringIO()
    call_command(command, *args, stdout=output, **more)
    return json.loads(output.getvalue())


@time_machine.travel(NOON, tick=False)
def test_a_card_names_who_is_cleared_and_no_one_else(floor: Floor, tmp_path: Path) -> None:
    floor.make_cleared(floor.cast.student)
    file = tmp_path / "card.pdf"
    report = run("wall_card", str(floor.saw_2.pk), out=file)
    row = Print.objects.get()
    assert report == {
        "file": str(file), "code": row.code, "paper": "letter", "sheets": 1, "reads_from_m": 4.2, "cleared": 1,
    }  # fmt: skip
    text = looking.text(file.read_bytes())
    assert floor.cast.student.name in text
    assert floor.cast.classmate.name not in text
    assert "Keep rule number 0." in text
    assert "Push the stop paddle." in text
    assert f"All classes of {floor.cast.shop.name}" in text
    assert "January 15, 2027" in text, "the clearance ends with the term"
    assert looking.codes(file.read_bytes()) == [f"HTTP://127.0.0.1:8000/C/{row.code}"]


def test_a_machine_is_found_by_the_name_on_it(floor: Floor, tmp_path: Path) -> None:
    run("wall_card", "drill PRESS 1", out=tmp_path / "card.pdf")
    assert Print.objects.get().machine == floor.drill_1


@time_machine.travel(NOON, tick=False)
def test_chart_has_a_wheel_and_its_code_leads_to_the_checkpoint(floor: Floor, client: Client, tmp_path: Path) -> None:
    floor.make_cleared(floor.cast.student)
    file = tmp_path / "chart.pdf"
    report = run("wall_chart", floor.cast.section.name, out=file)
    assert (report["paper"], report["sheets"], report["cleared"]) == ("tabloid", 1, 1)
    text = looking.text(file.read_bytes())
    assert text.count("cleared") == 1
    mark = Checkpoint.objects.get()
    shown = short_code(mark.size, bytes(mark.root).hex())
    assert shown not in text
    page = client.get(reverse("print-check", args=[report["code"]])).content.decode()
    assert f"{mark.size} entries, code <code>{shown}</code>" in page


def test_unknown_or_ambiguous_name_prints_an_error_and_no_sheet(floor: Floor, tmp_path: Path) -> None:
    file = tmp_path / "card.pdf"
    MachineFactory(shop=floor.cast.stranger_section.shop, kind=floor.far_saw.kind, number=3)
    for machine, part in [("Lathe 9", "no machine"), ("Band saw 2", "Give the key"), ("", "no machine")]:
        with pytest.raises(CommandError, match=part):
            run("wall_card", machine, out=file)
    with pytest.raises(CommandError, match="taught elsewhere"):
        run("wall_card", str(floor.far_saw.pk), sections=[floor.cast.section.name], out=file)
    with pytest.raises(CommandError, match="no class"):
        run("wall_chart", "Period 99", out=file)
    assert not file.exists()
    assert not Print.objects.exists()


def test_a_file_that_cannot_be_written_is_said(floor: Floor, tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="can't be written"):
        run("wall_card", str(floor.saw_2.pk), out=tmp_path / "no" / "card.pdf")
    assert not Print.objects.exists()


@time_machine.travel(NOON, tick=False)
def test_card_without_approved_rules_says_so_and_prints_no_rules(floor: Floor, tmp_path: Path) -> None:
    floor.make_cleared(floor.cast.student)
    take_out(Acceptance.objects.filter(edition__bank=floor.saw_bank))
    run("wall_card", str(floor.saw_2.pk), out=tmp_path / "card.pdf")
    text = " ".join(looking.text((tmp_path / "card.pdf").read_bytes()).split())
    assert "No one may use it: rules not accepted yet" in text
    assert floor.cast.student.name not in text
    assert "Keep rule number 0." not in text
