"""Sets of prints: asked for once, made by one worker at a time, stopped, and made again after an interruption."""

import io
import re
import zipfile
from datetime import timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
import time_machine
from pytest_django import Settings

from machines.models import Print, PrintSet
from machines.prints.acts import record_set
from machines.prints.batches import acts
from machines.prints.batches.making import handouts, make_waiting
from machines.prints.queries import hanging_in
from machines.prints.sheets.wall import shop_snapshot
from shopsafe.language.kept import kept_words
from shopsafe.paper.press.render import PrintFailed
from shopsafe.school.models import Person
from tests.acts.reading import code_of, entries
from tests.factories.machines import NOON, Floor
from tests.factories.people import EnrollmentFactory, SectionFactory
from tests.factories.prints import asked_for, chart_hung, hung, made
from tests.paper import looking

pytestmark = pytest.mark.usefixtures("at_noon")

NO_POCKETS = {"paper": "letter", "metres": "3", "pockets": False, "slips": []}  # one sheet less to draw


@pytest.fixture(autouse=True)
def at_noon(settings: Settings, tmp_path: Path) -> object:
    settings.PRINTS = tmp_path
    with time_machine.travel(NOON, tick=False):
        yield


def files(row: PrintSet) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(row.file.read_bytes())) as whole:
        return {name: whole.read(name) for name in whole.namelist()}


def codes_in(row: PrintSet) -> set[str]:
    """The codes on the sheets of a set."""
    text = " ".join(looking.text(pdf) for pdf in files(row).values())
    return set(re.findall(r"\b[0-9A-Z]{4}-[0-9A-Z]{2}\b", text))


def state(row: PrintSet) -> str:
    row.refresh_from_db()
    return row.state


# Making one


def test_monday_batch_holds_charts_cards_and_handouts(floor: Floor) -> None:
    floor.make_cleared(floor.cast.student)
    Person.objects.filter(pk=floor.cast.student.pk).update(password="!none")
    row = asked_for(floor.cast, wants={"paper": "a4", "metres": "3", "pockets": True, "slips": [floor.cast.student.pk]})
    assert make_waiting() == 1
    assert state(row) == "ready"
    section = floor.cast.section.name
    printed_files = files(row)
    assert list(printed_files) == [
        f"Wall chart {section}.pdf",
        *(f"Wall card {machine}.pdf" for machine in (floor.drill_1, floor.saw_2, floor.saw_3)),
        *(f"{what} {section}.pdf" for what in ("Substitute sheet", "Pocket cards", "Sign-in slips")),
    ]
    assert (row.done, row.of) == (7, 7)
    assert looking.page_sizes(printed_files[f"Wall chart {section}.pdf"])[0][1] == pytest.approx(420, abs=0.1)
    assert floor.cast.student.name in looking.text(printed_files["Wall card Band saw 2.pdf"])
    slips = looking.text(printed_files[f"Sign-in slips {section}.pdf"])
    assert floor.cast.student.name in slips
    assert floor.cast.classmate.name not in slips, "who has a slip keeps it"


def test_evidence_files_name_who_took_them_out(floor: Floor) -> None:
    row = asked_for(floor.cast, what="evidence", section=floor.cast.section, wants={})
    make_waiting()
    assert state(row) == "ready"
    assert len(files(row)) == 2 == len(entries("record.exported"))
    first = next(iter(files(row).values()))
    assert looking.structure(first)["title"].startswith("Evidence file: ")


def test_just_what_is_out_of_date_is_printed_again(floor: Floor) -> None:
    stale, right = hung(floor), hung(floor, floor.saw_3)
    chart = chart_hung(floor)
    floor.make_cleared(floor.cast.student)
    row = asked_for(floor.cast, what="stale", wants={})
    make_waiting()
    assert list(files(row)) == [
        f"Wall card Band saw 2 {stale.code}.pdf",
        f"Wall chart {floor.cast.section.name} {chart.code}.pdf",
    ]
    assert not [
        posted_print for posted_print in hanging_in(shop_snapshot(floor.cast.shop, NOON)) if posted_print.changes
    ]
    right.refresh_from_db()
    assert right.current, "what was right stays"


def test_another_school_s_signs_do_no_harm_in_a_file_s_name(floor: Floor) -> None:
    floor.cast.section.name = "Period 3/4: Wood <A>"
    floor.cast.section.save(update_fields=["name"])
    row = asked_for(floor.cast, wants=NO_POCKETS)
    make_waiting()
    assert "Wall chart Period 3-4- Wood -A-.pdf" in files(row)


# Once


def test_the_same_key_again_is_the_same_set(floor: Floor) -> None:
    first = asked_for(floor.cast)
    assert asked_for(floor.cast, key=first.key) == first
    assert PrintSet.objects.count() == 1
    assert code_of(asked_for, floor.cast, key=first.key, by=floor.cast.colleague) == "access.not-yours"


def test_sets_of_yesterday_go_with_their_files(floor: Floor) -> None:
    old = made(asked_for(floor.cast))
    assert old.file.exists()
    asked_for(floor.cast, at=NOON + timedelta(days=1, minutes=1))
    assert not old.file.exists()
    assert PrintSet.objects.count() == 1


# Interrupted


def test_one_worker_at_a_time_until_it_is_silent(floor: Floor) -> None:
    row = asked_for(floor.cast)
    claim = uuid4()
    assert acts.claim_next(claim=claim, at=NOON) == row
    assert acts.claim_next(claim=uuid4(), at=NOON + acts.SILENT_FOR - timedelta(seconds=1)) is None
    taken = acts.claim_next(claim=uuid4(), at=NOON + acts.SILENT_FOR)
    assert taken == row
    assert not acts.report_progress(row=row, claim=claim, done=1, of=2, message="", at=NOON), (
        "the one that was silent lets go"
    )
    assert not record_set([], of=row, claim=claim, at=NOON)
    assert not acts.fail(row=row, claim=claim, message="")


def test_interrupted_it_has_recorded_nothing_and_is_made_again(floor: Floor, monkeypatch: pytest.MonkeyPatch) -> None:
    row = asked_for(floor.cast)

    def killed(*args: Any, **more: Any) -> bytes:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr("machines.prints.batches.making.handouts.substitute_sheet", killed)
        with pytest.raises(KeyboardInterrupt):
            make_waiting()
    assert not Print.objects.exists()
    PrintSet.objects.update(state="printing", beat_at=NOON - acts.SILENT_FOR)
    assert not list(row.file.parent.iterdir())
    make_waiting()
    assert state(row) == "ready"
    assert codes_in(row) == set(Print.objects.values_list("code", flat=True))
    assert Print.objects.exclude(sheet="pocket card").count() == 4


def test_stopped_on_the_way_leaves_no_file(floor: Floor, monkeypatch: pytest.MonkeyPatch) -> None:
    row = asked_for(floor.cast, wants=NO_POCKETS)
    real = acts.report_progress

    def stopped_at_two(**more: Any) -> bool:
        if more["done"] == 2:
            acts.stop_set(row=row, by=floor.cast.teacher)
        return real(**more)

    with monkeypatch.context() as patch:
        patch.setattr(acts, "report_progress", stopped_at_two)
        make_waiting()
    assert state(row) == "stopped"
    assert not Print.objects.exists()
    assert not list(row.file.parent.iterdir())
    assert code_of(acts.stop_set, row=row, by=floor.cast.teacher) == "set.over"
    acts.start_again(row=row, by=floor.cast.teacher, at=NOON)
    assert code_of(acts.start_again, row=row, by=floor.cast.teacher, at=NOON) == "set.made"
    make_waiting()
    assert state(row) == "ready"


def test_one_that_fails_says_why_and_the_next_is_made(floor: Floor, monkeypatch: pytest.MonkeyPatch) -> None:
    first, second = asked_for(floor.cast), asked_for(floor.cast, what="evidence", section=floor.cast.section)

    def too_slow(*args: Any, **more: Any) -> Any:
        raise PrintFailed("print.too-slow", "This print took too long.")

    monkeypatch.setattr("machines.prints.batches.making.rendering.prints.wall_cards", too_slow)
    assert make_waiting() == 2
    assert state(first) == "failed"
    assert kept_words(first.message).startswith("This print took too long. Nothing was recorded")
    assert not Print.objects.exists(), "the chart before it was drawn, and was in no file that anyone got"
    assert not first.file.exists()
    assert state(second) == "ready"


def test_batch_fails_when_a_sheet_was_printed_in_the_meantime(floor: Floor, monkeypatch: pytest.MonkeyPatch) -> None:
    row, real = asked_for(floor.cast, wants=NO_POCKETS), handouts.substitute_sheet

    def meanwhile(*args: Any) -> Any:
        chart_hung(floor)
        return real(*args)

    monkeypatch.setattr("machines.prints.batches.making.handouts.substitute_sheet", meanwhile)
    make_waiting()
    assert (state(row), kept_words(row.message).split(",")[0]) == ("failed", "Someone printed this first")
    assert [print_row.sheet for print_row in Print.objects.all()] == ["wall chart"]
    assert not row.file.exists()


def test_student_in_two_classes_gets_one_pocket_card(floor: Floor) -> None:
    other = SectionFactory(shop=floor.cast.shop, term=floor.cast.section.term)
    EnrollmentFactory(section=other, student=floor.cast.student)
    for student in (floor.cast.student, floor.cast.classmate):
        floor.make_cleared(student)
    row = asked_for(floor.cast)
    make_waiting()
    assert state(row) == "ready"
    assert Print.objects.filter(sheet="pocket card").count() == 2
    assert len([name for name in files(row) if name.startswith("Pocket cards")]) == 1


def test_refuses_everyone_else(floor: Floor) -> None:
    row = asked_for(floor.cast)
    for person in floor.cast.not_teachers:
        if person == floor.cast.office:
            continue
        assert code_of(asked_for, floor.cast, by=person) == "access.not-yours", person
        assert code_of(acts.stop_set, row=row, by=person) == "access.not-yours", person
        assert code_of(acts.start_again, row=row, by=person, at=NOON) == "access.not-yours", person


# What is left behind, and what is started once


def test_the_unfinished_file_of_a_killed_worker_goes_when_the_next_batch_is_made(floor: Floor) -> None:
    row = asked_for(floor.cast, wants=NO_POCKETS)
    row.file.parent.mkdir(parents=True, exist_ok=True)
    left = [row.file.parent / f"{key}.{uuid4().hex}.part" for key in (row.key, uuid4())]
    for part in left:
        part.write_bytes(b"half")
    make_waiting()
    assert state(row) == "ready"
    assert not list(row.file.parent.glob("*.part"))


def test_the_unfinished_file_of_yesterday_goes_with_its_batch(floor: Floor) -> None:
    row = asked_for(floor.cast, wants=NO_POCKETS)
    row.file.parent.mkdir(parents=True, exist_ok=True)
    part = row.file.parent / f"{row.key}.{uuid4().hex}.part"
    part.write_bytes(b"half")
    asked_for(floor.cast, wants=NO_POCKETS, at=NOON + timedelta(days=2))
    assert not part.exists()


def test_a_waiting_batch_starts_one_worker_however_many_pages_watch(floor: Floor) -> None:
    row = asked_for(floor.cast, wants=NO_POCKETS, at=NOON)
    late = NOON + timedelta(seconds=30)
    assert [acts.want_worker(row=row, at=late) for _ in range(5)] == [True, False, False, False, False]
    assert acts.want_worker(row=row, at=late + timedelta(seconds=30)), "that worker never came"


def test_a_batch_that_waits_behind_another_starts_no_worker(floor: Floor) -> None:
    asked_for(floor.cast, wants=NO_POCKETS, at=NOON)
    second = asked_for(floor.cast, wants=NO_POCKETS, at=NOON)
    acts.claim_next(claim=uuid4(), at=NOON)
    assert not acts.want_worker(row=second, at=NOON + timedelta(seconds=60))
    assert acts.want_worker(row=second, at=NOON + timedelta(minutes=6)), "that worker was killed"


def test_a_batch_whose_worker_was_killed_is_taken_up_by_one_new_worker(floor: Floor) -> None:
    row = asked_for(floor.cast, wants=NO_POCKETS, at=NOON)
    acts.claim_next(claim=uuid4(), at=NOON)
    late = NOON + timedelta(minutes=6)
    assert [acts.want_worker(row=row, at=late) for _ in range(3)] == [True, False, False]
    assert acts.claim_next(claim=uuid4(), at=late) == row
