"""Accommodations as kept data, and how they and a reader's own choice make the look of a page."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopsafe.school.reading.accommodations import LANGUAGES, Accommodations, look_for, read
from shopsafe.school.reading.look import CHOICES

any_given = st.builds(
    Accommodations,
    aloud=st.booleans(),
    size=st.sampled_from(CHOICES["size"]),
    roomy=st.booleans(),
    described=st.booleans(),
    language=st.sampled_from(["", *LANGUAGES]),
)
anything = st.none() | st.booleans() | st.integers() | st.text(max_size=5) | st.lists(st.integers(), max_size=2)


@given(any_given)
def test_stored_accommodations_are_read_back(given: Accommodations) -> None:
    assert read(given.data) == given
    assert bool(given.data) == bool(given.in_words) == (given != Accommodations())


@given(st.dictionaries(st.sampled_from(["aloud", "size", "roomy", "described", "language", "x"]), anything))
def test_any_data_is_read(data: dict[str, object]) -> None:
    assert read(read(data).data) == read(data)


def test_in_words() -> None:
    accommodations = Accommodations(aloud=True, size="larger", roomy=True, described=True, language="es")
    assert accommodations.in_words == [
        "Read aloud",
        "Larger type",
        "More space",
        "Pictures described in words",
        "In Spanish, where the bank has it",
    ]


@pytest.mark.parametrize(
    ("chosen", "given", "shown"), [("usual", "larger", "larger"), ("largest", "larger", "largest")]
)
def test_a_reader_may_choose_more_than_was_given(chosen: str, given: str, shown: str) -> None:
    look = {"colours": "dark", "size": chosen, "space": "close"}
    assert look_for(look, Accommodations(size=given)) == {"colours": "dark", "size": shown, "space": "close"}
