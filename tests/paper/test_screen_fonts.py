"""The fonts of the screens are the fonts of the prints, cut in parts: no letter is lost, none is in two parts."""

import re
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

STATIC = Path(__file__).resolve().parents[2] / "static"
FACE = re.compile(r'font-weight: (\d+);.*?fonts/(\w+-\w+?)((?:-\w+)?\.woff2)".*?unicode-range: ([^;]+);')
FACES = FACE.findall((STATIC / "css" / "screen-fonts.css").read_text())
NAMES = sorted({name for _, name, _, _ in FACES})


def letters(ranges: str) -> set[int]:
    ends = [part.strip().removeprefix("U+").split("-") for part in ranges.split(",")]
    return {letter for row in ends for letter in range(int(row[0], 16), int(row[-1], 16) + 1)}


def has(file: str) -> set[int]:
    with TTFont(STATIC / "fonts" / file) as font:
        return set(font.getBestCmap())


def test_every_weight_of_the_prints_is_there() -> None:
    assert len(FACES) == 3 * len(NAMES)
    assert sorted(re.findall(r"fonts/([\w-]+)\.ttf", (STATIC / "css" / "print" / "fonts.css").read_text())) == NAMES


@pytest.mark.parametrize("name", NAMES)
def test_the_parts_make_the_whole(name: str) -> None:
    parts = [(has(name + ending), letters(ranges)) for _, family, ending, ranges in FACES if family == name]
    assert all(within == declared for within, declared in parts)
    assert sum(len(within) for within, _ in parts) == len(set().union(*(within for within, _ in parts)))
    assert set().union(*(within for within, _ in parts)) == has(f"{name}.ttf")
