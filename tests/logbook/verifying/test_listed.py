"""verify() and what the logbook is searched by: an entry that a search would not find is named.

Pages and evidence files find entries through two tables beside the record: those are held against it too."""

# ruff: noqa: S608  the statements are written here, and are the point

from datetime import timedelta
from functools import partial
from typing import Any

import pytest
from django.db import connection

from shopsafe.logbook.append import append
from shopsafe.logbook.models import Listing, Subject
from shopsafe.logbook.verification import batches, listed
from shopsafe.logbook.verification.verify import verify
from tests.logbook.record import AT, ERASED, ERASING, LAST, erase, found, make_record, put, run, without

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _record() -> None:
    make_record()


class TestListed:
    """Pages and evidence files find entries through two tables beside the record: those are held against it too."""

    @pytest.mark.parametrize(
        ("column", "value"), [("school", 2), ("kind", "signoff.undone"), ("at", AT + timedelta(days=1))]
    )
    def test_under_another_school_kind_or_time(self, column: str, value: Any) -> None:
        for seq in (1, ERASED, ERASING, LAST):
            assert found(lambda seq=seq: Listing.objects.filter(pk=seq).update(**{column: value})) == (seq, "listing")

    def test_not_at_all(self) -> None:
        for seq in (1, ERASED, LAST):
            assert found(partial(without, "listing", f"seq = {seq}")) == (seq, "listing")

    @pytest.mark.parametrize(("column", "value"), [("role", "'by'"), ("key", "'person:99'"), ("seq", "5")])
    def test_as_about_someone_else(self, column: str, value: str) -> None:
        change = f"UPDATE logbook_subject SET {column} = {value} WHERE seq = 6 AND role = 'student'"
        assert found(partial(run, [change])) == (5 if column == "seq" else 6, "listing")

    def test_as_about_no_one_or_one_more(self) -> None:
        assert found(partial(without, "subject", "seq = 6")) == (6, "listing")
        assert found(partial(without, "subject", "seq = 6 AND role = 'machine'")) == (6, "listing")
        statement = "INSERT INTO logbook_subject (seq, role, key) VALUES (%s, 'by', 'person:5')"
        for seq in (6, ERASED, ERASING):
            assert found(partial(run, [statement], [seq])) == (seq, "listing")

    def test_a_listing_or_a_subject_of_no_entry(self) -> None:
        columns = "(seq, school, kind, at) VALUES (99, 1, 'signoff.made', %s)"
        assert found(partial(run, [f"INSERT INTO logbook_listing {columns}"], [AT])) == (99, "listing")
        stray = "INSERT INTO logbook_subject (seq, role, key) VALUES (99, 'student', 'person:5')"
        assert found(partial(run, [stray])) == (99, "listing")

    def test_a_break_in_the_chain_comes_first(self) -> None:
        def both() -> None:
            without("subject", "seq = 2")
            put("body", "payload", b"{}", 6)()

        assert found(both) == (6, "body")

    def test_entry_erased_between_two_readings_is_valid(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """The subjects were read, then someone erased the entry: looked at again, it holds."""
        read_before = list(Subject.objects.order_by("entry").values_list("entry", "role", "key"))
        erase(6)
        monkeypatch.setattr(listed, "listed_texts", lambda *asked: ("what was", "listed before"))
        monkeypatch.setattr(listed, "listed_rows", lambda *asked: read_before)
        assert verify().holds
        monkeypatch.setattr(listed, "listing_matches", lambda seq: False)
        assert found(lambda: None) == (6, "listing")

    def test_two_subjects_run_together_as_one(self) -> None:
        """What one of the rows holds can't stand for the end of one and the beginning of the next."""
        rows = Subject.objects.filter(entry=6).order_by("role").values_list("key", "role")
        (key, _), (next_key, next_role) = rows
        for joined in (
            f"{key}6{next_role}{next_key}",
            f'{key}","{next_role}":"{next_key}',
            f"{key},{next_role}:{next_key}",
        ):

            def join(joined: str = joined) -> None:
                without("subject", f"seq = 6 AND role = '{next_role}'")
                run(["UPDATE logbook_subject SET key = %s WHERE seq = 6"], [joined])

            assert found(join) == (6, "listing")

    @pytest.mark.parametrize("seq", [0, LAST + 1])
    def test_subject_beside_the_entries(self, seq: int) -> None:
        stray = f"INSERT INTO logbook_subject (seq, role, key) VALUES ({seq}, 'by', 'person:1')"
        assert found(partial(run, [stray])) == (seq, "listing")

    def test_whole_listing_is_compared_as_texts_alone(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """Across batches, and across the few entries that are read at a time."""
        monkeypatch.setattr(batches, "BATCH", 4)
        monkeypatch.setattr(listed, "AT_A_TIME", 3)
        monkeypatch.setattr(listed, "first_differing", lambda *asked: pytest.fail("rows were compared one by one"))
        assert verify().holds

    def test_subject_kept_as_bytes_is_named(self) -> None:
        """SQLite compares bytes with no text: a search would not find it. PostgreSQL takes the bytes of a key for other
        text, which is another key."""
        kept_as = {"sqlite": "CAST(key AS BLOB)", "postgresql": "CAST(CAST(key AS bytea) AS text)"}[connection.vendor]
        stored_as_bytes = f"UPDATE logbook_subject SET key = {kept_as} WHERE seq = 6"
        assert found(partial(run, [stored_as_bytes])) == (6, "listing")

    @pytest.mark.parametrize("name", ["Inga", 'In"ga', "In\\ga", "Ínga 木", "In\nga"])
    def test_key_of_any_letters_is_compared(self, name: str) -> None:
        """A number is written as it is; a text would need escapes, and is compared row by row."""
        append(kind="machine.added", school=1, at=AT, payload={"machine": {"id": name, "name": "Band saw"}})
        assert verify().holds
        change = "UPDATE logbook_subject SET key = 'machine:2' WHERE seq = 11"
        assert found(partial(run, [change])) == (LAST + 1, "listing")
