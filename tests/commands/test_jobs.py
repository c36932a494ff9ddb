"""The jobs of the night: one process at a time runs each, and what goes wrong is reported."""

import json
import sqlite3
from datetime import UTC, date, datetime, timedelta
from io import StringIO
from pathlib import Path
from uuid import uuid4

import pytest
from django.core.management import CommandError, call_command
from django.test import Client

from machines.jobs import work
from machines.jobs.backup import remove_oldest
from machines.jobs.running import run_due, run_job
from shopsafe.logbook.models import Checkpoint
from shopsafe.school.jobs.acts import beat, claim_job, end_job
from shopsafe.school.models import Job, Person
from tests.cast import Cast
from tests.factories.at_once import at_once

AT = datetime(2026, 12, 1, 18, 0, tzinfo=UTC)
MINUTE = timedelta(minutes=1)


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, settings: object) -> Path:
    settings.BACKUPS = tmp_path / "backups"  # type: ignore[attr-defined]
    return tmp_path / "backups"


@pytest.mark.django_db
def test_job_is_taken_by_one_process_until_it_ends_or_falls_silent() -> None:
    first, second = uuid4(), uuid4()
    assert claim_job(code="backup", claim=first, at=AT)
    assert not claim_job(code="backup", claim=second, anyway=True, at=AT + MINUTE)
    beat(code="backup", claim=first, at=AT + 8 * MINUTE)
    assert not claim_job(code="backup", claim=second, anyway=True, at=AT + 9 * MINUTE)
    assert claim_job(code="backup", claim=second, anyway=True, at=AT + 14 * MINUTE)
    end_job(code="backup", claim=first, result="late", failed=False, at=AT + 15 * MINUTE)
    assert Job.objects.get().claim == second
    end_job(code="backup", claim=second, result="done", failed=False, at=AT + 16 * MINUTE)
    assert (Job.objects.get().claim, Job.objects.get().result) == (None, "done")


@pytest.mark.django_db(transaction=True)
def test_one_of_four_processes_gets_the_job(cast: Cast) -> None:
    taken: list[bool] = []

    def take() -> None:
        taken.append(claim_job(code="checkpoint", claim=uuid4(), at=AT))

    assert at_once(take, take, take, take) == []
    assert sorted(taken) == [False, False, False, True]


@pytest.mark.django_db
def test_failed_job_tells_its_reason_to_the_office_and_the_next_job_runs(
    client: Client, cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(at: datetime) -> str:
        raise work.JobFailed("No space left on device.")

    monkeypatch.setitem(work.WORK, "backup", fails)
    results = {result.code: result for result in run_due()}
    assert [result.failed for result in results.values()] == [False, True, False]
    assert run_due() == [], "what ran is not due again, and what failed waits for an hour"
    client.force_login(cast.office)
    page = client.get("/office/").content.decode()
    assert "Failed.</b> No space left on device." in page
    assert page.count("Failed.</b>") == 1


@pytest.mark.django_db
def test_crash_inside_a_job_is_a_failure_with_a_reason(monkeypatch: pytest.MonkeyPatch) -> None:
    def crashes(at: datetime) -> str:
        raise ZeroDivisionError("by zero")

    monkeypatch.setitem(work.WORK, "checkpoint", crashes)
    done = run_job("checkpoint")
    assert done is not None
    assert (done.failed, done.result) == (True, "ZeroDivisionError: by zero")


@pytest.mark.django_db
def test_checkpoint_covers_the_logbook(cast: Cast) -> None:
    assert work.checkpoint(AT) == f"{Checkpoint.objects.latest('size').size} entries."


@pytest.mark.django_db
def test_retention_erases_what_is_due_by_the_school_s_years(cast: Cast) -> None:
    cast.student.enrollments.update(from_day=date(2020, 1, 1), until_day=date(2020, 2, 29))
    assert work.retention(AT) == "0 records erased."
    cast.school.keep_years = 1
    cast.school.save()
    with pytest.raises(work.JobFailed, match="someone was reading"):  # inside a test's transaction nothing is swept
        work.retention(AT)
    assert not Person.objects.filter(pk=cast.student.pk).exists()


def test_oldest_backups_go_and_other_files_stay(tmp_path: Path) -> None:
    for day in range(1, 6):
        (tmp_path / f"shopsafe-2026-12-0{day}.sqlite3").touch()
    (tmp_path / "before-summer.sqlite3").touch()
    assert remove_oldest(tmp_path, "sqlite3", 2) == 3
    kept = sorted(path.name for path in tmp_path.iterdir())
    assert kept == ["before-summer.sqlite3", "shopsafe-2026-12-04.sqlite3", "shopsafe-2026-12-05.sqlite3"]
    assert remove_oldest(tmp_path, "sqlite3", 2) == 0


@pytest.mark.django_db(transaction=True)
def test_backup_of_the_night_is_whole(cast: Cast, folder: Path) -> None:
    done = run_job("backup", anyway=True)
    assert done is not None
    assert not done.failed, done.result
    [file] = folder.iterdir()
    assert file.name in done.result
    assert file.stat().st_mode & 0o077 == 0
    if file.suffix == ".sqlite3":
        with sqlite3.connect(file) as kept:
            assert kept.execute("SELECT count(*) FROM school_person").fetchone()[0] == Person.objects.count()


@pytest.mark.django_db
def test_folder_that_cannot_be_made_is_reported(cast: Cast, tmp_path: Path, settings: object) -> None:
    (tmp_path / "file").touch()
    settings.BACKUPS = tmp_path / "file" / "backups"  # type: ignore[attr-defined]
    done = run_job("backup", anyway=True)
    assert done is not None
    assert done.failed
    assert done.result.startswith("The backup folder can’t be made")


@pytest.mark.django_db
def test_command_runs_what_is_due_once_and_ends_with_an_error_where_a_job_failed(
    cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(work.WORK, "backup", lambda at: "Nothing to do.")
    out = StringIO()
    call_command("jobs", once=True, stdout=out)
    assert [result["code"] for result in json.loads(out.getvalue())] == ["checkpoint", "backup", "retention"]
    out = StringIO()
    call_command("jobs", once=True, stdout=out)
    assert json.loads(out.getvalue()) == []

    def fails(at: datetime) -> str:
        raise work.JobFailed("No space left on device.")

    monkeypatch.setitem(work.WORK, "backup", fails)
    with pytest.raises(CommandError, match="backup: No space left on device"):
        call_command("jobs", now="backup", stdout=StringIO())
