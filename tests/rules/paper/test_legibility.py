"""Legible print against published tables, and names that fit whatever they are."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopsafe.paper.rules import legibility as rule
from shopsafe.paper.rules.legibility import Metrics, NameLayout

# ANSI Z535.2 §9.2.3, minimum letter height of message text: viewing distance in feet → inches.
IN_INCHES = [(8, 0.32), (10, 0.40), (15, 0.60), (20, 0.80), (30, 1.20), (40, 1.60), (60, 2.40), (80, 3.20), (100, 4.00)]
# ASR A1.3, the same ratio in whole millimeters: meters → millimeters.
IN_MILLIMETRES = [(3, 10), (4, 14), (5, 17), (6, 20), (10, 34)]

# A made-up font with letters half an em wide, W a whole one, and capitals of .7 em.
PLAIN = Metrics("Plain", 1000, 700, {ord(c): 1000 if c == "W" else 500 for c in "ABCDEFGHIJKLMNOPQRSTUVW abcdefghij."})
GREEK = Metrics("Greek", 2048, 1434, {ord(c): 1024 for c in "ΑΒΓΔ"})


@pytest.mark.parametrize(("feet", "inches"), IN_INCHES)
def test_capitals_are_as_high_as_the_table_in_inches_says(feet: int, inches: float) -> None:
    metres = feet * 12 * rule.MM_PER_IN / 1000
    assert rule.capital_for(metres) / rule.MM_PER_IN == pytest.approx(inches)


@pytest.mark.parametrize(("metres", "mm"), IN_MILLIMETRES)
def test_capitals_are_as_high_as_the_table_in_millimeters_says(metres: int, mm: int) -> None:
    assert rule.capital_in_whole_mm(metres) == mm


def test_a_signal_word_is_twice_as_high_as_the_text() -> None:
    assert rule.capital_for(3, rule.SIGNAL) == 2 * rule.capital_for(3)


def test_no_text_of_a_sign_is_under_the_least_height() -> None:
    """.16 in [ANSI Z535.2 §9.2.3]."""
    assert rule.capital_for(0.5) == pytest.approx(0.16 * 25.4)


def test_a_point_is_a_72nd_of_an_inch() -> None:
    assert pytest.approx(0.352778, abs=1e-6) == rule.MM_PER_PT


@pytest.mark.parametrize(("capital", "metres"), [(10, 3.0), (9.999, 2.9), (10.33, 3.0), (10.34, 3.1), (20, 6.0)])
def test_the_distance_is_rounded_down(capital: float, metres: float) -> None:
    assert rule.reading_distance(capital) == metres


@given(st.floats(min_value=4.1, max_value=200))
def test_a_stated_distance_is_never_more_than_the_capitals_allow(capital: float) -> None:
    assert rule.capital_for(rule.reading_distance(capital)) <= capital + 1e-6


def test_the_capital_comes_from_the_font() -> None:
    assert rule.capital_of(20, PLAIN) == 14
    assert rule.size_for(14, PLAIN) == 20


def test_a_letter_is_measured_in_the_first_font_that_has_it() -> None:
    assert rule.width("AΑ", 10, [PLAIN, GREEK]) == 5 + 5
    assert rule.width("中", 10, [PLAIN, GREEK]) == 10


def test_an_accent_on_its_own_takes_no_room() -> None:
    assert rule.width("A\u0338", 10, [PLAIN]) == 5


def test_names_the_letters_that_cannot_be_drawn() -> None:
    assert rule.missing_letters("AB中A中 Γ", [PLAIN]) == ("中", "Γ")
    assert rule.missing_letters("A\u200dB", [PLAIN]) == ()


def test_a_letter_and_its_accent_count_as_one_letter() -> None:
    assert rule.missing_letters("A\u0301", [PLAIN]) == ("Á",)


def test_lines_break_at_spaces_and_keep_every_word() -> None:
    assert rule.wrap("aa bb cc WWWWWWWW dd", 40, 10, [PLAIN]) == ["aa bb cc", "WWWWWWWW", "dd"]


def test_a_no_break_space_holds_two_words_together() -> None:
    assert rule.wrap("aa bb\u00a0cc", 35, 10, [PLAIN]) == ["aa", "bb\u00a0cc"]


def fit(names: list[str], wide: float = 180, heights: tuple[float, ...] = (100,), most: float = 20) -> rule.Fit:
    return rule.fit_names(names, wide, heights, [PLAIN], most=most, pitch=1.1, gutter=6)


def test_single_name_stays_within_the_largest_size() -> None:
    assert fit(["Aa"]).size == 20


def test_many_short_names_take_more_columns() -> None:
    assert fit(["Aa B."] * 40).columns > fit(["Aa B."] * 8).columns


def test_equal_sizes_take_the_fewer_columns() -> None:
    assert fit(["Aa"] * 4).columns == 1


def test_two_sheets_hold_larger_names_than_one() -> None:
    names = ["Abcdefghi A."] * 24
    assert fit(names, heights=(100, 100)).size > fit(names).size


names_on_sheets = st.tuples(
    st.lists(st.text("ABWabcdefgh .", min_size=1, max_size=24), min_size=1, max_size=60),
    st.lists(st.floats(min_value=30, max_value=400), min_size=1, max_size=3),
    st.floats(min_value=80, max_value=400),
)


@given(names_on_sheets)
def test_every_name_stands_whole_inside_its_column_and_its_sheet(drawn: tuple[list[str], list[float], float]) -> None:
    names, heights, wide = drawn
    fitted = fit(names, wide, tuple(heights))
    column = (wide - 6 * (fitted.columns - 1)) / fitted.columns
    assert all(rule.width(name, fitted.size, [PLAIN]) <= column + 1e-6 for name in names)
    parts = rule.split(names, fitted.rooms)
    assert [name for part in parts for name in part] == names
    for part, height in zip(parts, heights, strict=True):
        assert math.ceil(len(part) / fitted.columns) * fitted.size * 1.1 <= height + 1e-6


@given(names_on_sheets)
def test_no_other_count_of_columns_would_let_the_names_be_larger(drawn: tuple[list[str], list[float], float]) -> None:
    names, heights, wide = drawn
    best = fit(names, wide, tuple(heights)).size
    for count in (1, 2, 3, 4):
        alone = rule.fit_names(names, wide, tuple(heights), [PLAIN], most=20, pitch=1.1, gutter=6, columns=(count,))
        assert alone.size <= best


def test_names_are_shared_out_evenly() -> None:
    assert [len(part) for part in rule.split([str(n) for n in range(30)], [16, 20])] == [15, 15]
    assert [len(part) for part in rule.split([str(n) for n in range(30)], [11, 20])] == [11, 19]


def test_names_that_do_not_fit_are_an_error_and_not_cut_off() -> None:
    with pytest.raises(ValueError, match="3 names"):
        rule.split(["a", "b", "c"], [1, 1])


LADDER = [
    NameLayout("full", "letter", 1, 2.1),
    NameLayout("short", "letter", 1, 2.8),
    NameLayout("short", "tabloid", 1, 4.1),
    NameLayout("short", "letter", 2, 3.3),
]


def test_layout_search_stops_at_the_first_readable_layout() -> None:
    assert rule.choose(LADDER, 3) == LADDER[2]
    assert rule.choose(LADDER, 2) == LADDER[0]


def test_a_distance_nothing_reaches_takes_the_furthest_and_says_so() -> None:
    assert rule.choose(LADDER, 5).metres == 4.1


def test_lines_are_higher_for_letters_of_another_font() -> None:
    assert rule.line_height(["AB", "A B"], [PLAIN], 1.03) == 1.03
    assert rule.line_height(["AB", "中"], [PLAIN], 1.03) == rule.TALL
    assert rule.line_height(["中"], [PLAIN], 2.0) == 2.0
    assert rule.line_height([], [PLAIN], 1.03) == 1.03
