"""SECURITY.md names for each promise the test that shows it: the tests and targets it names exist."""

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
LINES = (ROOT / "SECURITY.md").read_text(encoding="utf-8").splitlines()
PROMISES = [line.strip("| ").rsplit(" | ", 1) for line in LINES if line.startswith("| ") and "| shown by |" not in line]
NAMED = re.compile(r"`([^`]+\.py|make [a-z]+)`")


def named_in(shown_by: str) -> list[str]:
    """Paths of tests and targets. A file without a folder is in the folder of the file named before it."""
    named, folder = [], ""
    for name in NAMED.findall(shown_by):
        path = name if "/" in name or name.startswith("make ") else f"{folder}/{name}"
        folder = path.rpartition("/")[0] or folder
        named.append(path)
    return named


def test_each_promise_names_tests_that_exist() -> None:
    targets = set(re.findall(r"^([a-z]+):", (ROOT / "Makefile").read_text(encoding="utf-8"), re.MULTILINE))
    assert len(PROMISES) > 40
    for promise, shown_by in PROMISES:
        named = named_in(shown_by)
        assert named, promise
        for name in named:
            exists = name[5:] in targets if name.startswith("make ") else (ROOT / name).is_file()
            assert exists, f"{promise}: {name}"
