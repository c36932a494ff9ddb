"""manage.py logbook verify | checkpoint: what is printed, and the exit code."""

import json
from io import StringIO
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from shopsafe.language.kept import kept_words
from shopsafe.logbook.models import Checkpoint, Verification
from shopsafe.logbook.verification import declared
from tests.logbook.logbook_bypass import lifted
from tests.logbook.record import LAST, make_record, run, sign_off

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def no_records(monkeypatch: pytest.MonkeyPatch) -> None:
    """The entries of these tests stand for themselves: no record belongs to them."""
    monkeypatch.setattr(declared, "DECLARED", {})


def said(*arguments: str) -> dict[str, Any]:
    output = StringIO()
    call_command("logbook", *arguments, stdout=output)
    return json.loads(output.getvalue())


def test_verify_says_that_it_holds_and_notes_it() -> None:
    make_record()
    answer = said("verify")
    assert answer["holds"] is True
    assert answer["entries"] == LAST
    note = Verification.objects.get()
    assert (note.size, note.fault, bytes(note.root).hex()) == (LAST, "", answer["root"])


def test_verify_names_the_bad_entry_and_fails() -> None:
    make_record()
    with lifted(connection):
        run(["UPDATE logbook_body SET payload = %s WHERE seq = 6"], [b"{}"])
    with pytest.raises(CommandError, match="The body of entry 6 was changed"):
        said("verify")
    assert "entry 6" in kept_words(Verification.objects.get().fault)


def test_checkpoint_is_the_root_over_all_entries_and_is_taken_once() -> None:
    make_record()
    assert said("checkpoint")["size"] == LAST
    sign_off(LAST + 1)
    first, second = said("checkpoint"), said("checkpoint")
    assert first["size"] == LAST + 1
    assert first == second
    assert Checkpoint.objects.count() == 3
    assert said("verify")["root"] == first["root"]


def test_a_printed_checkpoint_is_held_against_the_logbook() -> None:
    make_record()
    printed = said("checkpoint")["print"]
    assert said("verify", "--against", printed)["checkpoints"] == 3
    other = printed[:-1] + ("0" if printed[-1] != "0" else "1")
    with pytest.raises(CommandError, match=f"The first {LAST} entries are not those"):
        said("verify", "--against", other)


@pytest.mark.parametrize("text", ["", "5", "5:", "5:abcd", "five:" + "0" * 64, "-1:" + "0" * 64, "5:" + "g" * 64])
def test_invalid_checkpoint_is_refused(text: str) -> None:
    with pytest.raises(CommandError, match="is not a checkpoint; give SIZE:ROOT as printed"):
        said("verify", f"--against={text}")
