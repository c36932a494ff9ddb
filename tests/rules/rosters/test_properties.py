"""Class lists of any shape: no one lost, no one twice, nothing merged, numbers as they stood."""

import csv
import io
import random
from collections.abc import Sequence

from hypothesis import assume, given
from hypothesis import strategies as st

from shopsafe.school.rosters.rules import (
    ExistingPerson,
    NotARoster,
    RosterPreview,
    RowCorrection,
    preview,
    read_file,
    read_pasted,
)
from shopsafe.school.rosters.rules.names import clean, id_key, name_key

LETTERS = "abcdefghijklmnopqrstuvwxyzåéîøüßłñçž"
word = st.text(LETTERS, min_size=2, max_size=9).map(str.capitalize)
name = st.one_of(st.tuples(word, word).map(", ".join), st.tuples(word, word).map(" ".join))
number = st.integers(0, 40).map("{:06d}".format)
anything = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=12)
messy = st.tuples(st.one_of(name, anything, st.just("")), st.one_of(number, anything, st.just("")))
tidy = st.tuples(name, number)
known = st.lists(
    st.builds(ExistingPerson, st.integers(1, 99), name, st.one_of(number, st.just("")), st.booleans(), st.booleans()),
    max_size=6,
)
mend = st.builds(
    RowCorrection, st.none() | name | anything, st.none() | number | anything, st.booleans(), st.booleans()
)


def written(rows: list[tuple[str, str]]) -> str:
    buffer = io.StringIO()
    csv.writer(buffer).writerows([("Name", "ID"), *rows])
    return buffer.getvalue()


def seen(
    rows: list[tuple[str, str]], people: Sequence[ExistingPerson] = (), **more: dict[int, RowCorrection]
) -> RosterPreview:
    return preview(read_pasted(written(rows)), people, **more)


@given(st.lists(st.one_of(messy, tidy), min_size=1, max_size=14), known, st.dictionaries(st.integers(2, 15), mend))
def test_every_row_with_something_in_it_is_in_exactly_one_list(
    rows: list[tuple[str, str]], people: list[ExistingPerson], mends: dict[int, RowCorrection]
) -> None:
    filled = {n for n, row in enumerate(rows, start=2) if any(cell.strip() for cell in row)}
    assume(filled)  # a header and nothing below it is refused
    result = seen(rows, people, mends=mends)
    lists = [result.ready, result.already_here, result.to_fix, result.skipped]
    numbers = [entry.row for entry_list in lists for entry in entry_list]
    assert sorted(numbers) == sorted(filled)
    counts = result.counts
    assert (
        counts["rows"] == len(filled) == counts["ready"] + counts["already_here"] + counts["to_fix"] + counts["skipped"]
    )
    assert all(entry.reason for entry in (*result.already_here, *result.to_fix, *result.skipped))


@given(st.lists(tidy, min_size=1, max_size=14), known)
def test_numbers_come_out_as_they_went_in(rows: list[tuple[str, str]], people: list[ExistingPerson]) -> None:
    assert [(entry.row, entry.read.id) for entry in seen(rows, people).entries] == [
        (n, local_id) for n, (_, local_id) in enumerate(rows, start=2)
    ]


@given(st.lists(tidy, min_size=1, max_size=14), known)
def test_no_one_who_is_ready_shares_a_number(rows: list[tuple[str, str]], people: list[ExistingPerson]) -> None:
    ready = seen(rows, people).ready
    keys = [id_key(entry.read.id) for entry in ready]
    assert len(keys) == len(set(keys))
    others = {who.local_id: who for who in people if who.local_id}
    for entry in ready:
        if entry.read.id in others:
            assert entry.person is not None
            assert name_key(others[entry.read.id].name) == name_key(entry.read.name)


@given(st.lists(tidy, min_size=1, max_size=12), known, st.randoms(use_true_random=False))
def test_the_order_of_rows_decides_nothing(
    rows: list[tuple[str, str]], people: list[ExistingPerson], dice: random.Random
) -> None:
    shuffled = rows[:]
    dice.shuffle(shuffled)

    def outcome(found: RosterPreview) -> list[tuple[str, str]]:
        return sorted((entry.where, entry.read.id) for entry in found.entries)

    assert outcome(seen(rows, people)) == outcome(seen(shuffled, people))


@given(st.lists(tidy, min_size=1, max_size=12, unique_by=lambda row: row[1]))
def test_importing_a_second_time_finds_everyone_here(rows: list[tuple[str, str]]) -> None:
    first = seen(rows)
    people = [
        ExistingPerson(n, entry.read.name, entry.read.id, here=True) for n, entry in enumerate(first.ready, start=1)
    ]
    again = seen(rows, people)
    assert not again.ready
    assert len(again.already_here) == len(first.ready)


def outcome_of(data: bytes) -> str:
    try:
        return preview(read_file("list.csv", data), []).sentence
    except NotARoster as refused:
        return refused.sentence


@given(st.binary(max_size=400))
def test_any_bytes_are_read_or_refused_with_a_sentence(data: bytes) -> None:
    assert outcome_of(data).startswith(("list.csv: ", "1 row: ")) or "rows: " in outcome_of(data)


@given(st.text(max_size=200))
def test_cleaning_twice_is_cleaning_once(text: str) -> None:
    assert clean(clean(text)) == clean(text)
