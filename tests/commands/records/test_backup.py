"""manage.py backup and restore: the same head, nothing overwritten unasked, and no one erased comes back."""

import gc
import json
import random
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from django.db import connection

from machines.management.commands import backup
from machines.management.commands.restore import use
from machines.records.acts import AGAIN, erase_student
from shopsafe.database import backups
from shopsafe.database.sqlite import wal_is_sound
from shopsafe.logbook.models import Entry
from shopsafe.logbook.verification.verify import verify
from shopsafe.school.models import Person
from shopsafe.school.people.acts.moves import end_enrollment
from tests.acts.reading import entries
from tests.cast import Cast, make_cast
from tests.factories.logbook import note
from tests.factories.machines import NOON

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(connection.vendor != "sqlite", reason="PostgreSQL has pg_dump and pg_restore"),
]

CANARY = "Quillonbrack Zephyrane"


@pytest.fixture
def own(tmp_path: Path, transactional_db: None, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A database and a var/ of this test's own."""
    tests_own, mine = backups.database(), tmp_path / "own.sqlite3"
    monkeypatch.setattr(settings, "VAR", tmp_path)
    use(tests_own)
    backups.copy(tests_own, mine)
    use(mine)
    yield mine
    use(tests_own)


@pytest.fixture
def cast_of_own(own: Path) -> Cast:
    cast = make_cast()
    cast.student.name = CANARY
    cast.student.save(update_fields=["name"])
    note(cast.student)
    note(cast.classmate)
    end_enrollment(section=cast.section, student=cast.student, by=cast.teacher, at=NOON)
    return cast


def said(*arguments: str) -> dict[str, Any]:
    output = StringIO()
    call_command(*arguments, stdout=output)
    return json.loads(output.getvalue())


def erase(cast: Cast) -> None:
    erase_student(student=cast.student, reason="Asked for.", by=cast.office, at=NOON.replace(year=2027))


def test_comes_back_to_the_same_head(cast_of_own: Cast, own: Path, tmp_path: Path) -> None:
    file = tmp_path / "kept.sqlite3"
    assert said("backup", str(file))["entries"] == 3
    head = verify().head.hex()
    note(cast_of_own.classmate)
    answer = said("restore", str(file), "--over")
    assert (answer["head"], answer["entries"], answer["erased_again"]) == (head, 3, 0)
    names = {path.name for path in tmp_path.glob("*.sqlite3*")}
    assert names == {"kept.sqlite3", "own.sqlite3", Path(answer["aside"]).name}
    assert verify().head.hex() == head
    assert backups.look_at(Path(answer["aside"])) == 4


def test_nothing_is_overwritten_unasked(cast_of_own: Cast, tmp_path: Path) -> None:
    file = tmp_path / "kept.sqlite3"
    said("backup", str(file))
    with pytest.raises(CommandError, match="is there already"):
        said("backup", str(file))
    note(cast_of_own.classmate)
    with pytest.raises(CommandError, match="holds a school already"):
        said("restore", str(file))
    assert Entry.objects.count() == 4


def test_restore_erases_a_student_erased_after_the_backup(cast_of_own: Cast, own: Path, tmp_path: Path) -> None:
    key, file = cast_of_own.student.pk, tmp_path / "kept.sqlite3"
    said("backup", str(file))
    erase(cast_of_own)
    (tmp_path / "erasures.jsonl").unlink()
    assert CANARY.encode() in file.read_bytes()
    assert said("restore", str(file), "--over")["erased_again"] == 1
    assert not Person.objects.filter(pk=key).exists()
    assert json.loads(entries("logbook.erased")[0])["reason"] == AGAIN
    assert verify().holds
    assert CANARY.encode() not in own.read_bytes()


def test_restore_erases_again_when_the_newer_database_is_lost(cast_of_own: Cast, own: Path, tmp_path: Path) -> None:
    key, file = cast_of_own.student.pk, tmp_path / "kept.sqlite3"
    said("backup", str(file))
    erase(cast_of_own)
    use(own)
    own.unlink()
    answer = said("restore", str(file))
    assert (answer["erased_again"], answer["aside"]) == (1, None)
    assert not Person.objects.filter(pk=key).exists()
    assert said("restore", "--erasures") == {"erased_again": 0}


def test_the_same_number_in_another_database_is_someone_else(cast_of_own: Cast) -> None:
    erased_person = backups.ErasedPerson(cast_of_own.student.pk, cast_of_own.school.pk, 1, "ab" * 32)
    backups.note_erasure(erased_person)
    assert said("restore", "--erasures") == {"erased_again": 0}
    assert Person.objects.filter(pk=cast_of_own.student.pk).exists()


def test_a_backup_that_was_changed_is_not_restored(cast_of_own: Cast, own: Path, tmp_path: Path) -> None:
    file = tmp_path / "kept.sqlite3"
    said("backup", str(file))
    with closing(sqlite3.connect(file)) as kept, kept:
        kept.execute("DROP TRIGGER logbook_body_update")
        kept.execute("UPDATE logbook_body SET payload = CAST(replace(payload, 'Zeph', 'Seph') AS BLOB)")
    note(cast_of_own.classmate)
    with pytest.raises(CommandError, match="The body of entry 1 was changed"):
        said("restore", str(file), "--over")
    assert Entry.objects.count() == 4
    assert not list(tmp_path.glob("*.restoring*"))


@pytest.mark.parametrize(
    "name", ["term #2.sqlite3", "what?.sqlite3", "100%.sqlite3", "50%20off.sqlite3", "a b&c=ü.sqlite3"]
)
def test_backup_may_have_any_name(cast_of_own: Cast, tmp_path: Path, name: str) -> None:
    file = tmp_path / name
    assert said("backup", str(file))["entries"] == 3
    assert said("restore", str(file), "--over")["entries"] == 3


def test_backup_of_a_newer_program_is_refused(cast_of_own: Cast, tmp_path: Path) -> None:
    file = tmp_path / "kept.sqlite3"
    said("backup", str(file))
    with closing(sqlite3.connect(file)) as kept, kept:
        kept.execute(
            "INSERT INTO django_migrations (app, name, applied) VALUES ('machines', '0999_robots', '2031-01-01')"
        )
    with pytest.raises(CommandError, match=r"was written by a newer version of this program .*machines 0999_robots"):
        said("restore", str(file), "--over")
    assert Entry.objects.count() == 3


def test_backup_of_an_older_program_with_an_app_that_is_gone_is_taken(cast_of_own: Cast, tmp_path: Path) -> None:
    file = tmp_path / "kept.sqlite3"
    said("backup", str(file))
    with closing(sqlite3.connect(file)) as kept, kept:
        kept.execute(
            "INSERT INTO django_migrations (app, name, applied) VALUES ('sessions', '0001_initial', '2020-01-01')"
        )
    assert said("restore", str(file), "--over")["entries"] == 3


def test_database_of_another_program_is_refused_in_a_sentence(cast_of_own: Cast, tmp_path: Path) -> None:
    for number, tables in enumerate(
        (
            "CREATE TABLE boats (id)",
            "CREATE TABLE logbook_entry (id); CREATE TABLE django_migrations (app, name, applied)",
            "CREATE TABLE logbook_entry (seq, hash); CREATE TABLE django_migrations (app, name, applied);"
            "INSERT INTO logbook_entry VALUES (1, 'x')",
        )
    ):
        file = tmp_path / f"other{number}.sqlite3"
        with closing(sqlite3.connect(file)) as other:
            other.executescript(tables)
        with pytest.raises(CommandError, match=r"is not a backup of this program|can't be read as a backup"):
            said("restore", str(file), "--over")
    assert Entry.objects.count() == 3
    assert not list(tmp_path.glob("*.restoring*"))


@pytest.mark.parametrize("seed", range(12))
def test_damaged_backup_ends_in_a_sentence_or_in_the_same_head(cast_of_own: Cast, tmp_path: Path, seed: int) -> None:
    """Cut short, overwritten in places, or with one bit turned: never half restored, never a traceback."""
    file, dice = tmp_path / "kept.sqlite3", random.Random(seed)
    said("backup", str(file))
    whole = bytearray(file.read_bytes())
    if seed % 3 == 0:
        del whole[dice.randrange(len(whole)) :]
    else:
        for _ in range(1 if seed % 3 == 1 else 40):
            whole[dice.randrange(len(whole))] ^= 1 << dice.randrange(8)
    file.write_bytes(whole)
    before = verify().head
    try:
        restored = said("restore", str(file), "--over")["head"]
    except CommandError:
        restored = verify().head.hex()  # of the database, which is as it was
    assert restored == before.hex()
    assert not list(tmp_path.glob("*.restoring*"))


def test_damaged_database_is_set_aside_with_its_journals(cast_of_own: Cast, own: Path, tmp_path: Path) -> None:
    file = tmp_path / "kept.sqlite3"
    said("backup", str(file))
    connection.close()
    own.write_bytes(b"no database any more" * 500)
    own.with_name(own.name + "-wal").write_bytes(b"nor a journal")
    with pytest.raises(CommandError, match=r"is damaged \(.*\)\. --over puts it aside"):
        said("restore", str(file))
    gc.collect()  # a connection that failed would close now, and SQLite delete the journal beside what it can't read
    answer = said("restore", str(file), "--over")
    assert answer["entries"] == 3
    aside = Path(answer["aside"])
    assert aside.read_bytes().startswith(b"no database any more")
    assert aside.with_name(aside.name + "-wal").read_bytes() == b"nor a journal"


@pytest.mark.skipif(not wal_is_sound(), reason="without a write-ahead log writers wait for a backup")
def test_a_backup_ends_although_someone_writes_at_every_piece(
    cast_of_own: Cast, own: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(backups, "PIECE", 4)
    pieces: list[int] = []
    with closing(sqlite3.connect(own, isolation_level=None)) as writer:
        writer.execute("CREATE TABLE written (what)")
        writer.execute("INSERT INTO written VALUES ('before')")

        def write(done: int, pages: int) -> None:
            pieces.append(done)
            writer.execute("INSERT INTO written VALUES ('beside')")

        backups.copy(own, tmp_path / "kept.sqlite3", write)
        assert writer.execute("SELECT count(*) FROM written").fetchone() == (1 + len(pieces),)
    assert len(pieces) > 20
    assert pieces == sorted(set(pieces)), "it began anew"
    with closing(sqlite3.connect(tmp_path / "kept.sqlite3")) as kept:
        assert kept.execute("SELECT what FROM written").fetchall() == [("before",)]


def test_a_large_backup_says_how_far_it_is(
    cast_of_own: Cast, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(backups, "PIECE", 4)
    monkeypatch.setattr(backup, "LARGE", 1)
    call_command("backup", str(tmp_path / "kept.sqlite3"), stdout=StringIO())
    lines = capsys.readouterr().err.splitlines()
    assert lines[-1] == "100 % copied"
    assert len(lines) == len(set(lines)) == 10


def test_full_disk_leaves_no_half_backup(cast_of_own: Cast, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "kept.sqlite3"

    class FullDisk(sqlite3.Connection):
        def backup(self, *args: Any, **more: Any) -> None:
            raise sqlite3.OperationalError("database or disk is full")

    real = sqlite3.connect
    monkeypatch.setattr(backups.sqlite3, "connect", lambda *args, **more: real(*args, factory=FullDisk, **more))
    with pytest.raises(CommandError, match=r"kept.sqlite3: database or disk is full\."):
        said("backup", str(file))
    assert not list(tmp_path.glob("kept*"))


def test_backup_into_a_folder_that_is_not_there_is_refused_in_a_sentence(cast_of_own: Cast, tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="No such file or directory"):
        said("backup", str(tmp_path / "no such folder" / "kept.sqlite3"))


@pytest.mark.parametrize("content", [b"", b"no database at all", b"SQLite format 3\0" + bytes(4080)])
def test_another_file_is_refused(cast_of_own: Cast, tmp_path: Path, content: bytes) -> None:
    (tmp_path / "other").write_bytes(content)
    with pytest.raises(CommandError, match="is not a backup of this program"):
        said("restore", str(tmp_path / "other"), "--over")
    with pytest.raises(CommandError, match="is not a backup of this program"):
        said("restore", str(tmp_path / "not there"), "--over")


@pytest.mark.skipif(not wal_is_sound(), reason="without a write-ahead log no one can tell who has the file open")
def test_a_database_in_use_is_left_alone(cast_of_own: Cast, own: Path, tmp_path: Path) -> None:
    file = tmp_path / "kept.sqlite3"
    said("backup", str(file))
    with closing(sqlite3.connect(own)) as server:
        server.execute("SELECT count(*) FROM logbook_entry").fetchone()
        with pytest.raises(CommandError, match="Stop the server first"):
            said("restore", str(file), "--over")
    assert Entry.objects.count() == 3
