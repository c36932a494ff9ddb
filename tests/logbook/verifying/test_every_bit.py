"""Every single bit of everything the logbook stores, turned one at a time: each is found, at its own entry."""

import pytest
from django.db import connection

from shopsafe.logbook.models import Body, Checkpoint, Entry
from tests.logbook.record import after, make_record, run

pytestmark = [pytest.mark.nightly, pytest.mark.django_db]

STORED = {
    Entry: ("seq", ("prev", "header", "commitment", "hash")),
    Body: ("seq", ("salt", "payload")),
    Checkpoint: ("size", ("root", "peaks")),
}


def test_no_bit_turns_unnoticed() -> None:
    make_record()
    turned = 0
    for model, (key, columns) in STORED.items():
        for row in model.objects.all():
            for column in columns:
                value = bytes(getattr(row, column))
                for bit in range(len(value) * 8):
                    changed = bytearray(value)
                    changed[bit // 8] ^= 1 << bit % 8
                    statement = f"UPDATE {model._meta.db_table} SET {column} = %s WHERE {key} = %s"  # noqa: S608
                    verdict = after(lambda s=statement, v=bytes(changed), k=row.pk: run([s], [v, k]))
                    assert verdict.fault, f"{column} of {row}, bit {bit}"
                    assert verdict.fault.seq == row.pk
                    turned += 1
    print(f"{turned} bits turned, all found, on {connection.vendor}")
