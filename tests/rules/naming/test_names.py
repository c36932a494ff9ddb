"""Names: short forms, the order of lists, and what is typed to sign in."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from shopsafe.school.naming.rules.names import short_name, sign_in_key, sort_key


def test_the_short_form_is_the_given_name_and_an_initial() -> None:
    assert short_name("Amira Kaya", "Amira", "Kaya") == "Amira K."


def test_a_name_whose_parts_are_unknown_is_never_cut() -> None:
    assert short_name("Wren Brzęczyk", "", "") == "Wren Brzęczyk"


def test_lists_go_by_the_displayed_name_whatever_the_accents() -> None:
    people = ["Zoë Ørsted", "al Parr", "Åse Nyman", "Al Orr", "Łukasz Wrona", "Lior Brandt"]
    ordered = ["Al Orr", "al Parr", "Åse Nyman", "Lior Brandt", "Łukasz Wrona", "Zoë Ørsted"]
    assert sorted(people, key=sort_key) == ordered


@pytest.mark.parametrize("typed", ["Łukasz Márquez", " lukasz  marquez ", "LUKASZ-MARQUEZ", "łukasz márquez"])
def test_a_sign_in_name_is_the_same_however_it_is_typed(typed: str) -> None:
    assert sign_in_key(typed) == "lukaszmarquez"


@given(st.text())
@example("ℕ")
def test_a_key_is_its_own_key(typed: str) -> None:
    assert sign_in_key(sign_in_key(typed)) == sign_in_key(typed)
