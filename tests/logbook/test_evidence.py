"""Evidence about one subject, and verify_evidence.py: it accepts what is whole and names what was touched."""

import copy
import json
import random
import subprocess
import sys
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.db import connection

from shopsafe.logbook.append import append
from shopsafe.logbook.evidence import BrokenRecord, evidence
from shopsafe.logbook.models import Checkpoint
from shopsafe.logbook.verify_evidence import check
from tests.logbook.logbook_bypass import lifted
from tests.logbook.record import AT, checkpoint, erase, run, sign_off

pytestmark = pytest.mark.django_db

SCRIPT = Path(__file__).resolve().parents[2] / "shopsafe" / "logbook" / "verify_evidence.py"
AMIRA = {"id": 7, "name": "Amira Kaya"}


def about_amira(**more: Any) -> Any:
    payload = {"student": AMIRA, "machine": {"id": 2, "name": "Band saw 2"}, **more}
    return append(kind="signoff.made", school=1, at=AT + timedelta(days=1), payload=payload)


@pytest.fixture
def mark() -> Checkpoint:
    for number in (1, 2, 3):
        sign_off(number + 100)
        about_amira(turn=number, words="Set the guard “just” above ½ in — Zoë")
    about_amira(turn=4)
    sign_off(200)
    return checkpoint()


def made(mark: Checkpoint, **subject: Any) -> dict[str, Any]:
    return evidence("person:7", subject={**AMIRA, **subject}, checkpoint=mark)


def outside(tmp_path: Path, whole: Any, *more: str) -> subprocess.CompletedProcess[str]:
    """As someone runs it who has nothing but Python: isolated, without our packages."""
    path = tmp_path / "evidence.json"
    path.write_text(json.dumps(whole), encoding="utf-8")
    command = [sys.executable, "-I", "-S", str(SCRIPT), str(path), *more]
    return subprocess.run(command, capture_output=True, text=True, check=False)


class TestWhole:
    def test_holds_the_entries_about_the_subject_and_no_others(self, mark: Checkpoint) -> None:
        whole = made(mark)
        assert [entry["seq"] for entry in whole["entries"]] == [2, 4, 6, 7]
        assert whole["checkpoint"] == {"size": 8, "root": bytes(mark.root).hex(), "at": "2026-09-14T13:05:09Z"}
        assert json.loads(whole["entries"][0]["payload"])["turn"] == 1

    def test_is_accepted_outside(self, mark: Checkpoint, tmp_path: Path) -> None:
        result = outside(tmp_path, made(mark))
        assert result.returncode == 0, result.stdout + result.stderr
        assert "4 entries about Amira Kaya: all as they were written." in result.stdout
        assert str(mark) in result.stdout

    def test_is_accepted_against_the_printed_checkpoint_and_no_other(self, mark: Checkpoint, tmp_path: Path) -> None:
        assert outside(tmp_path, made(mark), str(mark)).returncode == 0
        result = outside(tmp_path, made(mark), f"8:{bytes(32).hex()}")
        assert result.returncode == 1
        assert "not the one you gave" in result.stdout

    def test_an_earlier_checkpoint_gives_only_what_it_covers(self, mark: Checkpoint, tmp_path: Path) -> None:
        about_amira(turn=5)
        assert made(mark) == made(mark)
        later = made(checkpoint())
        assert [entry["seq"] for entry in later["entries"]] == [2, 4, 6, 7, 9]
        assert outside(tmp_path, later).returncode == 0

    def test_evidence_is_empty_for_an_unknown_person(self, mark: Checkpoint, tmp_path: Path) -> None:
        whole = evidence("person:999", subject={"id": 999, "name": "Nobody"}, checkpoint=mark)
        assert whole["entries"] == []
        assert "0 entries" in outside(tmp_path, whole).stdout

    def test_follows_a_person_through_a_change_of_name(self, mark: Checkpoint) -> None:
        about_amira(student={"id": 7, "name": "Amira Ode"})
        whole = made(checkpoint(), name="Amira Ode")
        assert len(whole["entries"]) == 5
        assert check(whole) is None


def leaves(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[tuple[Any, ...], Any]]:
    if isinstance(value, dict):
        return [leaf for key, item in value.items() for leaf in leaves(item, (*path, key))]
    if isinstance(value, list):
        return [leaf for key, item in enumerate(value) for leaf in leaves(item, (*path, key))]
    return [(path, value)]


def changed(value: Any, dice: random.Random) -> Any:
    if isinstance(value, int):
        return value + dice.choice([-1, 1])
    place = dice.randrange(len(value))
    other = dice.choice([sign for sign in "0123456789abcdef" if sign != value[place].lower()])
    return value[:place] + other + value[place + 1 :]


def put(whole: dict[str, Any], path: tuple[Any, ...], value: Any) -> dict[str, Any]:
    whole = copy.deepcopy(whole)
    target: Any = whole
    for key in path[:-1]:
        target = target[key]
    target[path[-1]] = value
    return whole


def is_found(whole: dict[str, Any]) -> bool:
    try:
        return check(whole) is not None
    except (ValueError, KeyError, TypeError, AttributeError, OverflowError):
        return True


class TestTouched:
    def test_every_field_changed_is_found(self, mark: Checkpoint) -> None:
        whole, dice = made(mark), random.Random(6962)
        for path, value in leaves(whole):
            if path == ("checkpoint", "at"):
                continue  # not part of what is proved: the script says "said to be taken"
            for _ in range(12):
                touched = put(whole, path, changed(value, dice))
                assert is_found(touched), path

    def test_a_changed_word_is_named_by_the_script(self, mark: Checkpoint, tmp_path: Path) -> None:
        whole = made(mark)
        whole["entries"][1]["payload"] = whole["entries"][1]["payload"].replace("Band saw 2", "Band saw 3")
        result = outside(tmp_path, whole)
        assert (result.returncode, result.stdout) == (1, "Entry 4: what it says was changed.\n")

    def test_entries_swapped_or_doubled_are_found(self, mark: Checkpoint) -> None:
        whole = made(mark)
        whole["entries"][0], whole["entries"][1] = whole["entries"][1], whole["entries"][0]
        assert check(whole) == "Entry 2 is in the wrong place."
        whole = made(mark)
        whole["entries"].insert(1, whole["entries"][0])
        assert check(whole) == "Entry 2 is in the wrong place."

    def test_an_entry_about_someone_else_is_found(self, mark: Checkpoint) -> None:
        whole = made(mark)
        other = evidence("person:101", subject={"id": 101, "name": "Student 101"}, checkpoint=mark)
        whole["entries"].insert(0, other["entries"][0])
        assert check(whole) == "Entry 1: it does not name the person this file is about."

    def test_an_entry_of_another_logbook_is_found(self, mark: Checkpoint) -> None:
        whole = made(mark)
        entry = whole["entries"][3]
        entry["path"] = entry["path"][:-1]
        assert check(whole) == "Entry 7: it is not in the logbook that the checkpoint was taken of."

    def test_neighbours_must_follow_each_other(self, mark: Checkpoint) -> None:
        whole = made(mark)
        assert whole["entries"][3]["prev"] == whole["entries"][2]["hash"]
        whole["entries"][3]["prev"] = whole["entries"][1]["hash"]
        assert check(whole) is not None

    @pytest.mark.parametrize("text", ["", "[]", "{}", "nothing", '{"format": "shopsafe evidence 1"}'])
    def test_invalid_evidence_file_is_refused(self, tmp_path: Path, text: str) -> None:
        path = tmp_path / "evidence.json"
        path.write_text(text, encoding="utf-8")
        done = subprocess.run(
            [sys.executable, "-I", str(SCRIPT), str(path)], capture_output=True, text=True, check=False
        )
        assert done.returncode == 2
        assert "no evidence file" in done.stdout
        assert done.stderr == ""


class TestBroken:
    def test_nothing_is_shown_with_a_changed_entry(self, mark: Checkpoint) -> None:
        with lifted(connection):
            run(["UPDATE logbook_body SET payload = %s WHERE seq = 4"], [b"{}"])
        with pytest.raises(BrokenRecord, match="The body of entry 4 was changed"):
            made(mark)

    def test_nothing_is_shown_with_a_changed_neighbour(self, mark: Checkpoint) -> None:
        with lifted(connection):
            run(["UPDATE logbook_entry SET hash = %s WHERE seq = 1"], [bytes(32)])
        with pytest.raises(BrokenRecord, match="not those the checkpoint was taken of"):
            made(mark)

    def test_erased_entry_is_not_in_the_evidence(self, mark: Checkpoint) -> None:
        from shopsafe.logbook.models import Subject

        erase(4)
        Subject.objects.filter(entry=4).delete()
        assert [entry["seq"] for entry in made(checkpoint())["entries"]] == [2, 6, 7]
