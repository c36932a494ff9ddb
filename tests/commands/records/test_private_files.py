"""What the program writes is for the eyes of its owner alone, whatever the shell that starts it allows."""

import stat
import subprocess
import sys
from pathlib import Path

from shopsafe.files.private_files import make_private
from tests import migrated
from tests.browser.server import ROOT, environment


def manage(var: Path, database: Path, *arguments: str) -> None:
    """As a shell with a loose mask calls it: what it writes may be read by everyone."""
    known = {name: value for name, value in environment(var, database).items() if name != "SHOPSAFE_SECRET_KEY"}
    subprocess.run(
        [sys.executable, "manage.py", *arguments],
        cwd=ROOT,
        env=known | {"OFFICE_PASSWORD": "ledger on the top shelf"},
        check=True,
        capture_output=True,
        umask=0o000,
    )


def open_to_others(folder: Path) -> list[str]:
    return [str(path) for path in [folder, *folder.rglob("*")] if path.stat().st_mode & 0o077]


def test_new_database_and_exports_are_private(tmp_path: Path) -> None:
    var, out = tmp_path / "var", tmp_path / "out"
    out.mkdir(mode=0o700)
    database = var / "shopsafe.sqlite3"
    manage(var, database, "migrate", "contenttypes", "--no-input", "-v0")
    assert open_to_others(var) == []
    migrated.take_copy(database)  # into the file that is there, so that the next line is done in seconds
    manage(var, database, "migrate", "--no-input", "-v0")
    manage(var, database, "new_school", "Alderbeck School", "--office", "Lotte Achterberg")
    manage(var, database, "backup", str(out / "kept.sqlite3"))
    assert {path.name for path in var.iterdir()} >= {"shopsafe.sqlite3", "secret_key"}
    assert (out / "kept.sqlite3").exists()
    assert open_to_others(var) == open_to_others(out) == []


def test_folder_and_database_of_an_earlier_version_are_closed(tmp_path: Path) -> None:
    var = tmp_path / "var"
    var.mkdir()
    database = var / "shopsafe.sqlite3"
    database.touch()
    migrated.take_copy(database)
    var.chmod(0o755)  # the mask of this process lets nothing of others pass
    database.chmod(0o644)
    assert open_to_others(var) == [str(var), str(database)]
    manage(var, database, "migrate", "--no-input", "-v0")
    assert open_to_others(var) == []


def test_rights_of_the_owner_stay(tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.touch()
    file.chmod(0o744)
    make_private(file)
    assert stat.S_IMODE(file.stat().st_mode) == 0o700
    make_private(tmp_path / "not there")
