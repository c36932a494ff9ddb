"""Every letter of a name is drawn as it is written: our sheets beside another program's drawing of the same name."""

import unicodedata
from dataclasses import replace
from pathlib import Path

import pytest

from shopsafe.paper import fonts
from shopsafe.paper.rules.legibility import width
from shopsafe.paper.rules.names import Name
from shopsafe.paper.rules.sheets import A4, LETTER, Paper
from shopsafe.paper.setting import faces
from tests.paper import looking, once
from tests.paper.drawn import SIZE, difference, drawn_by_us, reference, width_by_us
from tests.paper.sheets.test_wall_card import CARD

OURS = fonts.FONTS / "BarlowSemiCondensed-SemiBold.ttf"
SAME, OTHER = 0.5, 0.65  # the same name stays under 0.42; one with a wrong mark is over 0.8
CHINESE = 2  # of the collection's faces: simplified Chinese, which the stylesheet names


def noto(file: str) -> Path:
    font_path = next((path for folder in fonts.INSTALLED for path in folder.rglob(file)), None)
    if font_path is None:
        pytest.skip(f"no {file} (apt-get install fonts-noto-core fonts-noto-cjk)")
    return font_path


def latin() -> list[str]:
    """Every Latin letter with a mark that our font has, capitals and small ones, a dozen a name."""
    letters = [
        chr(code)
        for code in sorted(fonts.names_font().advances)
        if chr(code).isalpha() and "LATIN" in unicodedata.name(chr(code), "") and code > 0x7F
    ]
    return ["".join(letters[start : start + 12]) for start in range(0, len(letters), 12)]


def test_latin_letters_with_every_mark_are_drawn_as_written() -> None:
    names = latin()
    assert sum(map(len, names)) > 300
    assert {"ễ", "ỗ", "Ằ", "ł", "ğ", "ș", "ő", "ž", "ñ", "ø"} <= set("".join(names))
    wrong = [name for name in names if difference(drawn_by_us(name), reference(name, OURS)) > SAME]
    assert not wrong


@pytest.mark.parametrize(
    ("name", "file"),
    [
        ("Hồng Nguyễn", ""),
        ("Grzegorz Brzęczyk", ""),
        ("Ελένη Ζαχαρίου", "NotoSans-Bold.ttf"),
        ("Щукин Ёлка Ђорђе", "NotoSans-Bold.ttf"),
        ("أميرة حداد", "NotoSansArabic-Bold.ttf"),
        ("אמירה כהן", "NotoSansHebrew-Bold.ttf"),
        ("अमीरा कौशल क्षत्रिय", "NotoSansDevanagari-Bold.ttf"),
        ("王小明 陳大文", fonts.CJK),
    ],
    ids=["vietnamese", "polish", "greek", "cyrillic", "arabic", "hebrew", "devanagari", "chinese"],
)
def test_a_name_is_drawn_whole_and_no_wider_than_it_was_measured(name: str, file: str) -> None:
    ours = drawn_by_us(name)
    theirs = reference(name, noto(file) if file else OURS, CHINESE if file == fonts.CJK else 0)
    assert difference(ours, theirs) < SAME
    assert fonts.undrawable(name) == ()
    assert width_by_us(name) <= width(name, SIZE, faces().names) * 1.01


@pytest.mark.parametrize(
    ("name", "mistaken"),
    [
        ("Hồng Nguyễn", "Hông Nguyễn"),
        ("Hồng Nguyễn", "Hồng Nguyển"),
        ("Łukasz", "Lukasz"),
        ("Zoë", "Zoe"),
        ("Søren", "Sören"),
    ],
)
def test_a_wrong_mark_would_be_noticed(name: str, mistaken: str) -> None:
    assert difference(drawn_by_us(name), reference(mistaken, OURS)) > OTHER


def test_letters_of_other_scripts_joined_wrongly_would_be_noticed() -> None:
    """The same letters in their standalone shapes, as a program without shaping draws them."""
    apart = "\u200c".join("أميرة")
    assert difference(drawn_by_us("أميرة"), reference(apart, noto("NotoSansArabic-Bold.ttf"))) > OTHER


MANY = (
    "Hồng Nguyễn|Łukasz Wiśnik|Ελένη Παπαδάκη|Щукин Ёлка|أميرة حداد|אמירה כהן|अमीरा क्षत्रिय|王小明|김민준|さくら 田中"
    "|தமிழ் செல்வன்|ณัฐพล|សុខា|အောင်|አማራ|ბესო|Արամ"
)


@pytest.mark.parametrize("paper", [LETTER, A4], ids=lambda paper: paper.code)
def test_a_card_of_many_scripts_keeps_its_lines_apart(paper: Paper) -> None:
    """What is below the names would be pushed over what is below it."""
    noto("NotoSansMyanmar-Bold.ttf")
    noto(fonts.CJK)
    card = replace(CARD, names=tuple(Name(name) for name in MANY.split("|")))
    printed = once.wall_card(card, paper)
    for page in range(printed.sheets):
        words = looking.words(printed.pdf, page)
        stop = next(word for word in words if word.text == "stop")
        below = next(word for word in words if word.text in ("Goggles", "ask"))
        assert below.top > stop.bottom - 0.5
        assert max(word.bottom for word in words) <= paper.height - 9
