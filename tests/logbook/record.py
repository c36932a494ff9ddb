"""A small logbook with everything in it, and a way to tamper with it and look: for the tests of this folder."""

# ruff: noqa: S608  the statements are written here, and are the point

from collections.abc import Callable, Iterable
from datetime import UTC, datetime, timedelta
from functools import partial
from typing import Any

from django.db import connection, transaction

from shopsafe.logbook.append import append
from shopsafe.logbook.models import Body, Checkpoint, Entry, Erasure, Subject
from shopsafe.logbook.rules import chain
from shopsafe.logbook.rules.tree import Tree
from shopsafe.logbook.verification.verify import Verdict, verify
from tests.logbook.logbook_bypass import lifting

AT = datetime(2026, 9, 14, 13, 5, 9, tzinfo=UTC)
ERASED, ERASING, LAST = 3, 8, 10


def sign_off(number: int) -> Entry:
    return append(
        kind="signoff.made",
        school=1,
        at=AT + timedelta(minutes=number),
        payload={"student": {"id": number, "name": f"Student {number}"}, "machine": {"id": 2, "name": "Band saw 2"}},
    )


def erase(*seqs: int) -> Entry:
    erasure = append(kind=chain.ERASED, school=1, at=AT, payload={"reason": "left the school", "seqs": list(seqs)})
    Erasure.objects.bulk_create(Erasure(entry_id=seq, by=erasure) for seq in seqs)
    Body.objects.filter(pk__in=seqs).delete()
    Subject.objects.filter(entry__in=seqs).delete()
    return erasure


def checkpoint() -> Checkpoint:
    hashes = [bytes(leaf) for leaf in Entry.objects.order_by("seq").values_list("hash", flat=True)]
    tree = Tree()
    for leaf in hashes:
        tree.add(leaf)
    return Checkpoint.objects.create(size=len(hashes), root=tree.root(), peaks=tree.peaks(), at=AT)


def make_record() -> None:
    """Ten entries; the bodies of 2 and 3 erased by 8; checkpoints at 5 and at the end."""
    for number in range(1, ERASING):
        sign_off(number)
        if number == 5:
            checkpoint()
    erase(2, ERASED)
    for number in range(ERASING + 1, LAST + 1):
        sign_off(number)
    checkpoint()


def after(tamper: Callable[[], Any], **options: Any) -> Verdict:
    """What verify says once `tamper` has had its way; then everything is as it was."""
    with transaction.atomic():
        run(lifting(connection)[0])
        tamper()
        verdict = verify(**options)
        transaction.set_rollback(True)
    return verdict


def found(tamper: Callable[[], Any], **options: Any) -> tuple[int, str] | None:
    fault = after(tamper, **options).fault
    return (fault.seq, fault.code) if fault else None


def put(table: str, column: str, value: Any, seq: int, key: str = "seq") -> Callable[[], None]:
    return partial(run, [f"UPDATE logbook_{table} SET {column} = %s WHERE {key} = %s"], [value, seq])


def without(table: str, condition: str = "TRUE") -> None:
    run([f"DELETE FROM logbook_{table} WHERE {condition}"])


def run(statements: Iterable[str], parameters: Iterable[Any] = ()) -> None:
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement, list(parameters))


def chain_holds() -> bool:
    """The entries hold and the triggers stand, whatever is on record: factories make records without entries."""
    verdict = verify()
    return verdict.fault is None and not verdict.unguarded
