"""Two who append at the same time: one chain, nothing lost, nothing forked."""

import threading
from datetime import UTC, datetime

import pytest
from django.db import IntegrityError, connection, transaction

from shopsafe.logbook.append import append
from shopsafe.logbook.models import Body, Entry
from shopsafe.logbook.verification.verify import verify

AT = datetime(2026, 9, 14, 13, 5, 9, tzinfo=UTC)
EACH = 25

pytestmark = pytest.mark.django_db(transaction=True)


def write(number: int, errors: list[Exception], start: threading.Barrier) -> None:
    try:
        start.wait(timeout=60)
        for turn in range(EACH):
            with transaction.atomic(durable=True):
                append(kind="signoff.made", school=number, at=AT, payload={"turn": turn})
                append(kind="hold.lifted", school=number, at=AT, payload={"turn": turn})
    except Exception as error:
        errors.append(error)
    finally:
        connection.close()


def test_two_appenders_make_one_chain() -> None:
    errors: list[Exception] = []
    start = threading.Barrier(2)
    threads = [threading.Thread(target=write, args=(number, errors, start)) for number in (1, 2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert errors == []
    verdict = verify()
    assert verdict.holds
    assert verdict.entries == Entry.objects.count() == Body.objects.count() == 2 * 2 * EACH
    assert Entry.objects.values("prev").distinct().count() == 2 * 2 * EACH


def test_one_act_s_entries_stand_next_to_each_other() -> None:
    test_two_appenders_make_one_chain()
    schools = [
        bytes(header).split(b'"school":')[1][:1]
        for header in Entry.objects.order_by("seq").values_list("header", flat=True)
    ]
    assert all(
        first_school == second_school for first_school, second_school in zip(schools[::2], schools[1::2], strict=True)
    )


def test_a_second_entry_after_the_same_one_is_refused_by_the_database() -> None:
    with transaction.atomic():
        first = append(kind="signoff.made", school=1, at=AT, payload={})
        append(kind="signoff.made", school=1, at=AT, payload={})
    fork = Entry(seq=3, prev=first.hash, header=b"{}", commitment=bytes(32), hash=b"h" * 32)
    with pytest.raises(IntegrityError), transaction.atomic():
        fork.save(force_insert=True)
    assert Entry.objects.count() == 2
