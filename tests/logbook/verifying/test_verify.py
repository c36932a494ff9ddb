"""verify(): every way to tamper with the stored logbook is found, and the entry it was done to is named."""

# ruff: noqa: S608  the statements are written here, and are the point

import random
from functools import partial

import pytest
from django.db import connection

from shopsafe.logbook.models import Body, Checkpoint, Entry, Erasure
from shopsafe.logbook.rules import chain
from shopsafe.logbook.rules.tree import Tree
from shopsafe.logbook.verification.verify import CheckpointMark, verify
from tests.logbook.record import (
    AT,
    ERASED,
    ERASING,
    LAST,
    after,
    checkpoint,
    erase,
    found,
    make_record,
    put,
    run,
    sign_off,
    without,
)

pytestmark = pytest.mark.django_db

ENTRY_COLUMNS = ("prev", "header", "commitment", "hash")


@pytest.fixture(autouse=True)
def _record() -> None:
    make_record()


def drop_entries(condition: str) -> None:
    for table in ("body", "erasure", "listing", "subject", "entry"):
        without(table, condition)


def flips(value: bytes) -> list[bytes]:
    """`value` with one bit turned: in its first and last byte and in a few between."""
    places = {0, len(value) - 1, *random.Random(len(value)).sample(range(len(value)), min(4, len(value)))}
    return [value[:at] + bytes([value[at] ^ (1 << at % 8)]) + value[at + 1 :] for at in sorted(places)]


class TestUntouched:
    def test_holds(self) -> None:
        verdict = verify()
        assert verdict.holds
        assert verdict.says_wrong == ""
        assert (verdict.entries, verdict.erased, verdict.checkpoints) == (LAST, 2, 2)
        assert verdict.head == bytes(Entry.objects.get(pk=LAST).hash)
        assert verdict.root == bytes(Checkpoint.objects.get(pk=LAST).root)

    def test_holds_when_nothing_happens_to_it(self) -> None:
        assert found(lambda: None) is None

    def test_holds_with_more_entries_after_the_last_checkpoint(self) -> None:
        sign_off(11)
        assert verify().holds

    def test_holds_against_a_printed_checkpoint(self) -> None:
        first = Checkpoint.objects.get(pk=5)
        verdict = verify([CheckpointMark(5, bytes(first.root))])
        assert verdict.holds
        assert verdict.checkpoints == 3

    def test_an_empty_logbook_holds(self) -> None:
        def empty() -> None:
            without("checkpoint")
            drop_entries("TRUE")

        assert found(empty) is None


class TestEveryFieldFlipped:
    @pytest.mark.parametrize("column", ENTRY_COLUMNS)
    def test_flipped_bit_in_an_entry_is_found(self, column: str) -> None:
        for entry in Entry.objects.all():
            for flipped in flips(bytes(getattr(entry, column))):
                place, code = found(put("entry", column, flipped, entry.seq)) or (None, None)
                assert place == entry.seq
                assert code == {"prev": "order"}.get(column, "hash")

    @pytest.mark.parametrize("column", ["salt", "payload"])
    def test_flipped_bit_in_a_body_is_found(self, column: str) -> None:
        for body in Body.objects.all():
            for flipped in flips(bytes(getattr(body, column))):
                assert found(put("body", column, flipped, body.pk)) == (body.pk, "body")

    @pytest.mark.parametrize("column", ["root", "peaks"])
    def test_flipped_bit_in_a_checkpoint_is_found(self, column: str) -> None:
        for mark in Checkpoint.objects.all():
            for flipped in flips(bytes(getattr(mark, column))):
                assert found(put("checkpoint", column, flipped, mark.size, "size")) == (mark.size, "checkpoint")

    def test_the_size_of_a_checkpoint(self) -> None:
        assert found(put("checkpoint", "size", 4, 5, "size")) == (4, "checkpoint")
        assert found(put("checkpoint", "size", 0, 5, "size")) == (0, "checkpoint")
        assert found(put("checkpoint", "size", LAST + 1, LAST, "size")) == (LAST + 1, "cut")

    def test_the_number_of_an_entry_with_its_body(self) -> None:
        def renumber(old: int, new: int) -> None:
            for table in ("entry", "body", "erasure"):
                put(table, "seq", new, old)()

        for seq in range(1, LAST):
            assert found(partial(renumber, seq, 99)) == (seq, "missing")
        assert found(partial(renumber, LAST, 99)) == (LAST, "missing")
        assert found(partial(renumber, 1, 0)) == (1, "missing")
        assert found(partial(renumber, 1, -5)) == (1, "missing")

    def test_the_numbers_of_an_erasure(self) -> None:
        assert found(put("erasure", "by_id", 9, ERASED)) == (ERASED, "not erased")
        assert found(put("erasure", "by_id", 1, ERASED)) == (ERASED, "erasure")
        assert found(put("erasure", "by_id", ERASED, ERASED)) == (ERASED, "erasure")
        assert found(put("erasure", "seq", 5, ERASED)) == (ERASED, "body missing")
        assert found(put("erasure", "seq", 9, ERASED)) == (ERASED, "body missing")

    def test_a_byte_moved_from_header_to_commitment(self) -> None:
        entry = Entry.objects.get(pk=6)
        header, commitment = bytes(entry.header), bytes(entry.commitment)

        def shift() -> None:
            put("entry", "header", header[:-1], 6)()
            put("entry", "commitment", header[-1:] + commitment, 6)()

        assert found(shift) == (6, "commitment")

    def test_a_byte_moved_from_payload_to_salt(self) -> None:
        body = Body.objects.get(pk=6)
        salt, payload = bytes(body.salt), bytes(body.payload)

        def shift() -> None:
            put("body", "salt", salt + payload[:1], 6)()
            put("body", "payload", payload[1:], 6)()

        assert found(shift) == (6, "body")

    @pytest.mark.parametrize(
        ("table", "column"), [("entry", column) for column in ENTRY_COLUMNS] + [("body", "payload")]
    )
    def test_bytes_turned_to_text_or_nothing(self, table: str, column: str) -> None:
        assert found(put(table, column, b"", 6)) is not None
        if connection.vendor == "sqlite":
            fault = found(put(table, column, "text", 6))
            assert fault
            assert fault[0] == 6


class TestRemoved:
    def test_any_entry_with_its_body(self) -> None:
        for seq in range(1, LAST):
            assert found(partial(drop_entries, f"seq = {seq}")) == (seq, "missing")

    def test_any_body(self) -> None:
        for seq in Body.objects.values_list("pk", flat=True):
            assert found(partial(without, "body", f"seq = {seq}")) == (seq, "body missing")

    def test_the_note_of_an_erasure(self) -> None:
        assert found(partial(without, "erasure", f"seq = {ERASED}")) == (ERASED, "body missing")

    def test_a_body_whose_removal_is_noted_but_never_said(self) -> None:
        def hide() -> None:
            without("body", "seq = 5")
            run([f"INSERT INTO logbook_erasure (seq, by_id) VALUES (5, {ERASING})"])

        assert found(hide) == (5, "erasure")

    def test_a_body_whose_removal_is_noted_as_an_ordinary_entry_s(self) -> None:
        def hide() -> None:
            without("body", "seq = 5")
            run([f"INSERT INTO logbook_erasure (seq, by_id) VALUES (5, {LAST})"])

        assert found(hide) == (5, "erasure")

    def test_the_erasing_entry_s_own_body(self) -> None:
        def hide() -> None:
            without("body", f"seq = {ERASING}")
            run([f"INSERT INTO logbook_erasure (seq, by_id) VALUES ({ERASING}, {LAST})"])

        assert found(hide) == (ERASING, "erased erasure")

    def test_the_tail_down_to_before_a_checkpoint(self) -> None:
        for kept in range(ERASING, LAST):
            assert found(partial(drop_entries, f"seq > {kept}")) == (kept + 1, "cut")

    def test_everything_but_the_checkpoints(self) -> None:
        assert found(partial(drop_entries, "TRUE")) == (1, "cut")

    def test_removed_tail_is_found_only_with_a_printed_checkpoint(self) -> None:
        sign_off(LAST + 1)
        printed = checkpoint()

        def cut() -> None:
            without("checkpoint", f"size > {LAST}")
            drop_entries(f"seq > {LAST}")

        assert found(cut) is None
        assert found(cut, printed=[CheckpointMark(printed.size, bytes(printed.root))]) == (LAST + 1, "cut")


class TestMoved:
    def test_two_neighbours_swapped(self) -> None:
        def swap(one: int, other: int) -> None:
            for table in ("entry", "body"):
                put(table, "seq", -1, one)()
                put(table, "seq", one, other)()
                put(table, "seq", other, -1)()

        for seq in (4, 5, 6, 9):
            assert found(partial(swap, seq, seq + 1)) == (seq, "order")

    def test_two_bodies_swapped(self) -> None:
        def swap() -> None:
            put("body", "seq", -1, 4)()
            put("body", "seq", 4, 5)()
            put("body", "seq", 5, -1)()

        assert found(swap) == (4, "body")


class TestAdded:
    def test_an_entry_copied_to_the_end(self) -> None:
        copy = (
            f"INSERT INTO logbook_entry (seq, prev, header, commitment, hash) SELECT {LAST + 1}, hash, header, "
            f"commitment, %s FROM logbook_entry WHERE seq = {LAST}"
        )
        assert found(partial(run, [copy], [b"h" * 32])) == (LAST + 1, "hash")

    def test_an_entry_put_in_between(self) -> None:
        def squeeze() -> None:
            for table in ("entry", "body", "erasure"):
                for seq in range(LAST, 5, -1):
                    put(table, "seq", seq + 1, seq)()
            put("erasure", "by_id", ERASING + 1, ERASING, "by_id")()
            run(
                ["INSERT INTO logbook_entry (seq, prev, header, commitment, hash) VALUES (6, %s, %s, %s, %s)"],
                [b"p" * 32, b"{}", b"c" * 32, b"h" * 32],
            )

        assert found(squeeze) == (6, "order")

    def test_an_erased_body_put_back_from_a_backup(self) -> None:
        kept = Body.objects.get(pk=5)
        erase(5)

        def put_back() -> None:
            run(
                ["INSERT INTO logbook_body (seq, salt, payload) VALUES (5, %s, %s)"],
                [bytes(kept.salt), bytes(kept.payload)],
            )

        def put_back_and_forget() -> None:
            put_back()
            without("erasure", "seq = 5")

        assert verify().holds
        assert found(put_back) == (5, "not erased")
        assert found(put_back_and_forget) == (5, "not erased")

    def test_a_body_that_belongs_to_no_entry(self) -> None:
        stray = "INSERT INTO logbook_body (seq, salt, payload) VALUES (99, %s, %s)"
        assert found(partial(run, [stray], [bytes(32), b"{}"])) == (99, "stray")
        stray = f"INSERT INTO logbook_erasure (seq, by_id) VALUES (99, {ERASING})"
        assert found(partial(run, [stray])) == (99, "erasure")


def rewrite(changed: int, checkpoints_too: bool) -> None:
    """What someone with the whole database and this code can do: fix every hash after the change."""
    prev = chain.FIRST_PREV
    tree = Tree()
    marks = set(Checkpoint.objects.values_list("size", flat=True)) if checkpoints_too else set()
    for entry in Entry.objects.order_by("seq"):
        if entry.seq == changed:
            body = Body.objects.get(pk=changed)
            forged = bytes(body.payload).replace(b"Student", b"Pirate")
            put("body", "payload", forged, changed)()
            entry.commitment = chain.commitment(bytes(body.salt), forged)
        hashed = chain.entry_hash(entry.seq, prev, bytes(entry.header), bytes(entry.commitment))
        for column, value in (("prev", prev), ("commitment", bytes(entry.commitment)), ("hash", hashed)):
            put("entry", column, value, entry.seq)()
        tree.add(hashed)
        prev = hashed
        if entry.seq in marks:
            put("checkpoint", "root", tree.root(), entry.seq, "size")()
            put("checkpoint", "peaks", tree.peaks(), entry.seq, "size")()


class TestRewritten:
    def test_rewritten_hashes_are_found_at_the_next_checkpoint(self) -> None:
        assert found(partial(rewrite, 4, False)) == (5, "checkpoint")
        assert found(partial(rewrite, 9, False)) == (LAST, "checkpoint")

    def test_rewritten_checkpoints_are_found_with_a_printed_one(self) -> None:
        printed = [CheckpointMark(mark.size, bytes(mark.root)) for mark in Checkpoint.objects.all()]
        assert found(partial(rewrite, 4, True)) is None
        assert found(partial(rewrite, 4, True), printed=printed) == (5, "checkpoint")
        assert found(partial(rewrite, 9, True), printed=printed) == (LAST, "checkpoint")
        assert found(partial(rewrite, 9, True), printed=printed[:1]) is None


class TestForged:
    def test_an_erasure_that_can_t_be_read(self) -> None:
        last, salt, payload = Entry.objects.get(pk=LAST), bytes(32), b"[nonsense"
        header = chain.header_bytes(kind=chain.ERASED, school=1, at=AT)
        commitment = chain.commitment(salt, payload)
        hashed = chain.entry_hash(LAST + 1, bytes(last.hash), header, commitment)

        def forge() -> None:
            row = "INSERT INTO logbook_entry (seq, prev, header, commitment, hash) VALUES (%s, %s, %s, %s, %s)"
            run([row], [LAST + 1, bytes(last.hash), header, commitment, hashed])
            run(["INSERT INTO logbook_body (seq, salt, payload) VALUES (%s, %s, %s)"], [LAST + 1, salt, payload])

        assert found(forge) == (LAST + 1, "unreadable")

    @pytest.mark.parametrize("payload", [b"[nonsense", b"\xff", b"[1]", b"null", b""])
    def test_body_without_an_object_of_json_is_unreadable(self, payload: bytes) -> None:
        """Every hash fits again: it is the last entry, and no checkpoint covers it."""
        sign_off(LAST + 1)

        def forge() -> None:
            entry, salt = Entry.objects.get(pk=LAST + 1), bytes(32)
            committed = chain.commitment(salt, payload)
            hashed = chain.entry_hash(entry.pk, bytes(entry.prev), bytes(entry.header), committed)
            run(["UPDATE logbook_body SET salt = %s, payload = %s WHERE seq = %s"], [salt, payload, entry.pk])
            run(["UPDATE logbook_entry SET commitment = %s, hash = %s WHERE seq = %s"], [committed, hashed, entry.pk])

        assert found(forge) == (LAST + 1, "unreadable")


class TestSentences:
    def test_name_the_entry_and_what_is_wrong(self) -> None:
        says = after(put("body", "payload", b"{}", 6)).says_wrong
        assert says == "The body of entry 6 was changed: it does not give the entry's commitment."
        says = after(partial(drop_entries, "seq > 9")).says_wrong
        assert says == "Entry 10 is missing: a checkpoint covers 10, 9 are there."

    def test_say_that_the_triggers_are_gone(self) -> None:
        verdict = after(lambda: None)
        assert not verdict.holds
        assert "logbook_entry_update" in verdict.says_wrong
        assert "no longer refuses" in verdict.says_wrong


def test_noted_erasures_are_of_the_entries_named() -> None:
    assert list(Erasure.objects.order_by("pk").values_list("pk", "by")) == [(2, ERASING), (ERASED, ERASING)]
