"""The look kept in a cookie."""

from hypothesis import given
from hypothesis import strategies as st

from shopsafe.school.reading.look import CHOICES, as_cookie, from_cookie


@given(st.fixed_dictionaries({sort: st.sampled_from(options) for sort, options in CHOICES.items()}))
def test_written_settings_are_read_back(chosen: dict[str, str]) -> None:
    assert from_cookie(as_cookie(chosen)) == chosen


@given(st.text())
def test_any_cookie_is_read_and_only_known_words_come_out(cookie: str) -> None:
    assert all(word in CHOICES[sort] for sort, word in from_cookie(cookie).items())
