"""What looks at our sheets sees their faults: each is planted here and must be reported."""

import base64
import io

import pytest
from PIL import Image

from shopsafe.paper.press.worker import to_pdf
from tests.paper import looking, reading
from tests.paper.sheets.test_wall_card import clashes

STYLE = "p { position: absolute; font-size: 8mm; left: 20mm; top: 20mm }"


def sheet(body: str) -> bytes:
    head = f'<head><title>x</title><style>{STYLE}</style><meta charset="utf-8"></head>'
    return to_pdf([f'<html lang="en">{head}<body class="letter">{body}</body></html>'], None)


def photo() -> str:
    dots = io.BytesIO()
    Image.new("RGB", (9, 9), "red").save(dots, "PNG")
    return f'<img alt="x" src="data:image/png;base64,{base64.b64encode(dots.getvalue()).decode()}">'


@pytest.mark.parametrize(("top", "over"), [(30, []), (23, [("Amira", "Zoë")])], ids=["apart", "over"])
def test_overlapping_names_are_found(top: int, over: list[tuple[str, str]]) -> None:
    pdf = sheet(f'<p>Amira</p><p style="top: {top}mm">Zoë</p>')
    assert looking.text(pdf) == "Amira Zoë"
    assert clashes(looking.words(pdf)) == over


@pytest.mark.parametrize("beside", [0, 0.3], ids=["same", "nearly"])
def test_name_drawn_twice_in_one_place_raises_an_error(beside: float) -> None:
    pdf = sheet(f'<p>Amira</p><p style="left: {20 + beside}mm">Amira</p>')
    with pytest.raises(AssertionError, match="passed over"):
        looking.text(pdf)


def test_position_and_size_of_a_letter_are_read() -> None:
    (word,) = looking.words(sheet('<p style="left: 40mm">Zoë</p>'))
    assert word.text == "Zoë"
    assert (word.x0, word.size, word.bottom - word.top) == pytest.approx((50, 8, 8), abs=0.01)


def test_ligature_is_one_letter_and_line_breaks_add_nothing() -> None:
    (page,) = reading.letters(sheet('<p style="font-family: Barlow Semi Condensed">fi<br>x</p>'))
    assert [letter.text for letter in page if letter.text.strip()] == ["fi", "x"]


def test_pale_letter_is_read_and_transparent_letter_raises_an_error() -> None:
    (page,) = reading.letters(sheet('<p style="color: #999">Amira</p>'))
    assert {letter.colour for letter in page} == {(0.6, 0.6, 0.6)}
    with pytest.raises(AssertionError, match="let something through"):
        reading.letters(sheet('<p style="color: #0004">Amira</p>'))


@pytest.mark.parametrize("how", ["rotate(30deg)", "scaleX(2)"])
def test_transformed_letters_raise_an_error(how: str) -> None:
    with pytest.raises(AssertionError, match="turned or drawn out"):
        reading.letters(sheet(f'<p style="transform: {how}">Amira</p>'))


@pytest.mark.parametrize("body", [photo(), '<p><a href="https://shop.example/">Amira</a></p>'], ids=["photo", "link"])
def test_photo_and_link_are_counted(body: str) -> None:
    assert looking.photos_and_links(sheet(body)) == 1
    assert looking.photos_and_links(sheet("<p>Amira</p>")) == 0
