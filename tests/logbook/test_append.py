"""append(): one entry in the transaction of its act, chained to the one before."""

import json
from datetime import UTC, datetime
from decimal import Decimal

import pytest
from django.db import transaction

from shopsafe.logbook.append import NoTransaction, append
from shopsafe.logbook.models import Body, Entry, Listing, Subject
from shopsafe.logbook.rules import chain
from shopsafe.logbook.rules.subjects import UnknownRole

AT = datetime(2026, 9, 14, 13, 5, 9, 123456, tzinfo=UTC)


def sign_off(**more: object) -> Entry:
    payload = {"student": {"id": 7, "name": "Amira Kaya"}, "machine": {"id": 2, "name": "Band saw 2"}, **more}
    return append(kind="signoff.made", school=3, at=AT, payload=payload)


@pytest.mark.django_db
def test_chains_each_entry_to_the_one_before():
    first, second = sign_off(), sign_off(points=5)
    assert (first.seq, second.seq) == (1, 2)
    assert first.prev == chain.FIRST_PREV
    assert second.prev == first.hash
    body = Body.objects.get(pk=2)
    assert json.loads(bytes(body.payload))["points"] == 5
    stored = Entry.objects.get(pk=2)
    assert bytes(stored.commitment) == chain.commitment(bytes(body.salt), bytes(body.payload))
    assert bytes(stored.hash) == chain.entry_hash(2, first.hash, bytes(stored.header), bytes(stored.commitment))


@pytest.mark.django_db
def test_header_holds_kind_moment_and_school_and_no_person():
    entry = sign_off()
    assert entry.header == b'{"at":"2026-09-14T13:05:09Z","kind":"signoff.made","school":3,"version":1}'


@pytest.mark.django_db
def test_same_words_get_another_commitment_each_time():
    assert sign_off().commitment != sign_off().commitment


@pytest.mark.django_db
def test_lists_the_entry_by_school_kind_moment_and_subject():
    sign_off(by={"id": 1, "name": "Ms Ferrant"})
    assert list(Listing.objects.values_list("entry", "school", "kind", "at")) == [(1, 3, "signoff.made", AT)]
    assert set(Subject.objects.values_list("role", "key")) == {
        ("student", "person:7"),
        ("machine", "machine:2"),
        ("by", "person:1"),
    }


@pytest.mark.django_db
def test_decimals_go_in_as_text_and_binary_floats_not_at_all():
    sign_off(gap=Decimal("0.125"))
    assert b'"gap":"0.125"' in bytes(Body.objects.get().payload)
    with pytest.raises(chain.Unwritable, match=r"payload\.gap is a float"):
        sign_off(gap=0.125)
    assert Entry.objects.count() == 1


@pytest.mark.django_db
def test_refuses_someone_named_in_a_role_it_does_not_know():
    with pytest.raises(UnknownRole, match="'pupil'"):
        sign_off(pupil={"id": 9, "name": "Ben"})
    assert Entry.objects.count() == 0


@pytest.mark.django_db
def test_refuses_a_moment_without_a_zone():
    with pytest.raises(ValueError, match="needs its zone"):
        append(kind="signoff.made", school=3, at=datetime(2026, 9, 14), payload={})


@pytest.mark.django_db(transaction=True)
def test_refuses_to_write_outside_a_transaction():
    with pytest.raises(NoTransaction, match="inside the transaction"):
        sign_off()
    assert Entry.objects.count() == 0


@pytest.mark.django_db(transaction=True)
def test_entry_goes_with_the_act_when_the_act_fails():
    with pytest.raises(ZeroDivisionError), transaction.atomic(durable=True):
        assert sign_off().seq / 0
    with transaction.atomic(durable=True):
        assert sign_off().seq == 1
