"""Card codes that survive being read aloud, and QR codes that scan."""

import random
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopsafe.paper.codes import ALPHABET, new_code, qr_side_mm, qr_svg, read_code, with_check

five_signs = st.text(ALPHABET, min_size=5, max_size=5)


def test_a_new_code_reads_back() -> None:
    code = new_code(random.Random(7).choice)
    assert re.fullmatch(r"[2-9A-Y]{4}-[2-9A-Y]{2}", code)
    assert read_code(code.lower().replace("-", " ")) == code


@given(five_signs, st.integers(0, 5), st.sampled_from(ALPHABET))
def test_one_wrong_sign_is_noticed(five: str, place: int, other: str) -> None:
    typed = with_check(five).replace("-", "")
    if typed[place] != other:
        assert read_code(typed[:place] + other + typed[place + 1 :]) is None


@given(five_signs, st.integers(0, 4))
def test_two_swapped_neighbours_are_noticed(five: str, place: int) -> None:
    typed = with_check(five).replace("-", "")
    if typed[place] != typed[place + 1]:
        assert read_code(typed[:place] + typed[place + 1] + typed[place] + typed[place + 2 :]) is None


@pytest.mark.parametrize("typed", ["", "7K3D", "7K3D-Q2-9", "0O1I-L5", "<script>", "ＡＢＣＤ-ＥＦ"])
def test_invalid_code_is_not_read(typed: str) -> None:
    assert read_code(typed) is None


def test_no_two_signs_look_alike() -> None:
    for pair in ("0O", "0Q", "1I", "1L", "IL", "2Z", "5S", "6G", "8B", "UV"):
        assert sum(sign in ALPHABET for sign in pair) < 2


def test_drawing_has_modules_of_one_millimeter_and_a_margin_of_four() -> None:
    svg = qr_svg("HTTP://127.0.0.1:8000/C/7K3D-Q2", says="Card code")
    side = qr_side_mm("HTTP://127.0.0.1:8000/C/7K3D-Q2")
    assert f'viewBox="0 0 {side:g} {side:g}" width="{side:g}mm"' in svg
    runs = [(int(x), float(y), int(long)) for x, y, long in re.findall(r"M(\d+) ([\d.]+)h(\d+)", svg)]
    assert 'stroke="#000"' in svg  # a line a module thick, along the middle of its row
    assert min(x for x, _, _ in runs) == 4
    assert max(x + long for x, _, long in runs) == side - 4
    assert (min(y for _, y, _ in runs), max(y for _, y, _ in runs)) == (4.5, side - 4.5)


def test_capitals_take_a_smaller_code() -> None:
    address = "https://shop.alderbeck.example/c/7k3d-q2"
    assert qr_side_mm(address.upper()) < qr_side_mm(address)


def test_modules_under_a_millimeter_are_refused() -> None:
    with pytest.raises(ValueError, match="1 mm"):
        qr_svg("X", says="x", module_mm=0.5)


def test_the_text_alternative_is_escaped() -> None:
    assert "<b>" not in qr_svg("X", says="<b>")
