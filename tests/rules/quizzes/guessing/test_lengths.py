"""Numbers with units, as people write them."""

import contextlib
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quizzes.questions.lengths import LENGTHS, LONGEST, Quantity, Unreadable, is_within, read_amount, read_quantity

F = Fraction
EIGHTH = F(254, 80)  # 1/8 in, in mm: an inch is 25.4 mm exactly


@pytest.mark.parametrize(
    ("text", "amount", "unit"),
    [
        ("1/8", F(1, 8), "in"),
        ("1/8 in", F(1, 8), "in"),
        ("1/8in.", F(1, 8), "in"),
        ('1/8"', F(1, 8), "in"),
        ("1/8 ''", F(1, 8), "in"),
        ("1 / 8 inch", F(1, 8), "in"),
        ("0.125 Inches", F(1, 8), "in"),
        (".125", F(1, 8), "in"),
        ("0,125", F(1, 8), "in"),
        ("⅛", F(1, 8), "in"),
        ("1 1/2", F(3, 2), "in"),
        ("1-1/2", F(3, 2), "in"),
        ("1 - 1/2 in", F(3, 2), "in"),
        ("1½ in", F(3, 2), "in"),
        ("1 ½″", F(3, 2), "in"),
        ("3/2", F(3, 2), "in"),
        ("1.5", F(3, 2), "in"),
        ("12", F(12), "in"),
        ("12.", F(12), "in"),
        ("3 mm", F(3), "mm"),
        ("3mm.", F(3), "mm"),
        ("3,175 mm", F(3175, 1000), "mm"),
        ("3.175 millimeters", F(3175, 1000), "mm"),
        ("45 cm", F(45), "cm"),
        ("2 ft", F(2), "ft"),
        ("  1 1/8 in  ", F(9, 8), "in"),
        ("3 m", F(3), "m"),
    ],
)
def test_reads_a_length(text: str, amount: F, unit: str) -> None:
    assert read_quantity(text, "in") == Quantity(amount, unit)


@pytest.mark.parametrize(
    ("text", "unit", "amount"),
    [
        ("764", "rpm", F(764)),
        ("764 rpm", "rpm", F(764)),
        ("764 r.p.m.", "rpm", F(764)),
        ("10 seconds", "s", F(10)),
        ("75 %", "%", F(75)),
        ("45°", "deg", F(45)),
        ("1,5", "s", F(3, 2)),
        ("3 turns", "turns", F(3)),
    ],
)
def test_reads_other_units(text: str, unit: str, amount: F) -> None:
    assert read_quantity(text, unit) == Quantity(amount, unit)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "   ",
        "about one",
        "1/0",
        "1 1/0",
        "1 3/2",
        "-1/8",
        "1/8/2",
        "1..5",
        "1 2",
        "0x10",
        "1e3",
        "1e999",
        "99999999999",
        "0.12345678901",
        "7" * 300,
        "٣",
        "1/8 bananas",
        "3 rpm",
        "9" * 40,
        "x" * (LONGEST + 1),
        "in",
        "1 in 2",
        "NaN",
        "∞",
        "1\x00",
    ],
)
def test_asks_again_for_what_it_cannot_read(text: str) -> None:
    with pytest.raises(Unreadable) as caught:
        read_quantity(text, "in")
    assert caught.value.sentence.endswith(".")
    assert len(caught.value.sentence.split()) <= 20


@pytest.mark.parametrize(
    ("text", "begins"),
    [
        ("", "Write a number"),
        ("99999999999", "At most 9 digits."),
        ("0.1234567890 in", "At most 9 digits."),
        ("1e999", "That isn't a number."),
        ("1/8 in 2", "That isn't a number."),
        ("about one", "That isn't a number."),
        ("x" * 300, "That is too long."),
    ],
)
def test_says_what_it_can_read(text: str, begins: str) -> None:
    for unit, example in (
        ("in", "with in or mm, such as 7/16 in or 0.7 mm."),
        ("rpm", "in turns a minute (rpm), such"),
    ):
        with pytest.raises(Unreadable) as caught:
            read_quantity(text, unit)
        assert caught.value.sentence.startswith(begins)
        assert example in caught.value.sentence


def test_a_unit_of_the_bank_may_hold_a_digit() -> None:
    assert read_quantity("3 m2", "m2") == Quantity(F(3), "m2")


def test_asks_what_a_comma_means_where_it_could_be_thousands() -> None:
    with pytest.raises(Unreadable, match="comma"):
        read_quantity("1,000 rpm", "rpm")


def test_a_stored_amount_is_a_bare_number() -> None:
    assert read_amount("1 1/2") == F(3, 2)
    with pytest.raises(Unreadable):
        read_amount("1/8 in")
    with pytest.raises(Unreadable):
        read_amount("")


def test_an_inch_is_exactly_25_4_mm() -> None:
    assert Quantity(F(1, 8), "in").base == EIGHTH
    assert is_within(read_quantity("3.175 mm", "in"), Quantity(F(1, 8), "in"), F(0))
    assert not is_within(read_quantity("3.175000001 mm", "in"), Quantity(F(1, 8), "in"), F(0))
    assert not is_within(read_quantity("3.2 mm", "in"), Quantity(F(1, 8), "in"), F(0))


def test_tolerance_uses_the_unit_of_the_key_and_includes_its_edge() -> None:
    key = Quantity(F(1, 8), "in")
    assert is_within(Quantity(F(9, 64), "in"), key, F(1, 64))
    assert is_within(Quantity(F(7, 64), "in"), key, F(1, 64))
    assert not is_within(Quantity(F(9, 64) + F(1, 1000000), "in"), key, F(1, 64))
    assert not is_within(Quantity(F(7, 64) - F(1, 1000000), "in"), key, F(1, 64))


def test_a_length_is_never_near_a_speed() -> None:
    assert not is_within(Quantity(F(3), "mm"), Quantity(F(3), "rpm"), F(10))


@given(st.fractions(0, 1000, max_denominator=128), st.sampled_from(["mm", "cm", "m", "in", "ft"]))
def test_the_unit_never_changes_the_length(amount: F, unit: str) -> None:
    base = Quantity(amount, "in")
    same = Quantity(base.base / LENGTHS[unit], unit)
    assert is_within(same, base, F(0))


@given(st.integers(0, 999), st.integers(1, 63), st.sampled_from([" ", "-", " - "]))
def test_a_mixed_number_reads_as_written(whole: int, top: int, gap: str) -> None:
    assert read_quantity(f"{whole}{gap}{top}/64 in", "in").amount == whole + F(top, 64)


@given(st.decimals(0, 9999, allow_nan=False, places=4))
def test_point_and_comma_read_alike(amount: object) -> None:
    text = f"{amount}"
    assert read_quantity(text, "mm").amount == F(text) == read_quantity(text.replace(".", ","), "mm").amount


@given(st.text(max_size=80))
def test_any_text_is_read_or_asked_about(text: str) -> None:
    with contextlib.suppress(Unreadable):
        assert read_quantity(text, "in").amount >= 0


def test_words_for_a_number_are_asked_for_in_digits():
    for unit in ("in", "teeth"):
        with pytest.raises(Unreadable) as caught:
            read_quantity("two inches", unit)
        assert caught.value.sentence.startswith("That isn't a number. Write a number in digits, ")
