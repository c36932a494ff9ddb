"""`roster_preview` and `roster_import` on every kept class list, and on what is none."""

import json
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from shopsafe.school.models import Enrollment, Person
from tests.cast import Cast

FILES = Path(__file__).resolve().parents[2] / "fixtures" / "rosters"
EXPECTED = {
    name: counts
    for name, counts in json.loads((FILES / "expected.json").read_text()).items()
    if (FILES / name).exists()
}


def run(command: str, file: Path, section: object, *more: str) -> dict[str, Any]:
    output = StringIO()
    call_command(command, str(file), "--class", str(section), *more, stdout=output)
    return json.loads(output.getvalue())


@pytest.mark.parametrize("name", EXPECTED)
def test_preview_prints_the_lists_and_changes_nothing(cast: Cast, name: str) -> None:
    before = Person.objects.count()
    report = run("roster_preview", FILES / name, cast.section.name)
    assert report["class"]["id"] == cast.section.pk
    assert len(report["ready"]) == report["counts"]["ready"] == EXPECTED[name]["students"]
    assert len(report["already_here"]) == EXPECTED[name].get("repeats", 0)
    assert len(report["to_fix"]) >= EXPECTED[name].get("problems_min", 0)
    assert all({"row", "read", "notes"} <= entry.keys() for entry in report["ready"])
    assert all(entry["reason"] for entry in report["already_here"] + report["to_fix"])
    assert Person.objects.count() == before


@pytest.mark.parametrize("name", EXPECTED)
def test_import_brings_in_those_who_are_ready_once(cast: Cast, name: str) -> None:
    report = run("roster_import", FILES / name, cast.section.pk)
    assert report["counts"]["added"] == EXPECTED[name]["students"]
    in_class = Enrollment.objects.filter(section=cast.section, until_day=None)
    assert in_class.count() == EXPECTED[name]["students"] + 2  # the two who were there
    assert run("roster_import", FILES / name, cast.section.pk)["counts"]["added"] == 0
    assert in_class.count() == EXPECTED[name]["students"] + 2


def test_columns_can_be_named(cast: Cast, tmp_path: Path) -> None:
    file = tmp_path / "list.txt"
    file.write_text("Uma\tLund\t0417\nRo\tBerg\t0418\nIlse\tMoor\t0419\n")
    assert run("roster_preview", file, cast.section.pk)["reading"]["question"]
    report = run("roster_preview", file, cast.section.pk, "--columns", "given,family,id")
    assert report["ready"][0]["read"]["name"] == "Uma Lund"
    with pytest.raises(CommandError, match="not nickname"):
        run("roster_preview", file, cast.section.pk, "--columns", "nickname")


@pytest.mark.parametrize("command", ["roster_preview", "roster_import"])
def test_invalid_roster_prints_a_reason(cast: Cast, tmp_path: Path, command: str) -> None:
    file = tmp_path / "photo.csv"
    file.write_bytes(b"\x89PNG\r\n\x1a\n")
    with pytest.raises(CommandError, match=r"^photo.csv: it is a picture\. Choose a class list"):
        run(command, file, cast.section.pk)
    with pytest.raises(CommandError, match=r"There is no class “Nobody's”"):
        run(command, FILES / "period6-pasted.txt", "Nobody's")
    with pytest.raises(CommandError, match="No such file"):
        run(command, tmp_path / "absent.csv", cast.section.pk)
    assert Person.objects.filter(enrollments__section=cast.section).count() == 2
