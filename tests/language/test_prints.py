"""Every sheet with words a third longer, and from right to left: nothing lies on anything else, or off the paper."""

from collections.abc import Iterator
from dataclasses import replace

import pytest
from django.utils import translation

from shopsafe.conventions import Conventions, conventions_in_use
from shopsafe.language.pseudo import PSEUDO
from shopsafe.paper import fonts
from tests.paper import looking, once, reading
from tests.paper.sheets.test_every_sheet import SHEETS, Made
from tests.paper.sheets.test_wall_card import CARD
from tests.paper.sheets.test_wall_chart import chart

MUCH = 0.4  # of a letter's width and height: neighbors touch, and accents reach into the line above
UNSEEN = "\u200f\u202c\u202e\u2068\u2069 "


ALL = SHEETS | {
    "demo-card": Made(lambda: once.wall_card(replace(CARD, demo=True)).pdf, "", fonts.names_font),
    "demo-chart": Made(lambda: once.wall_chart(replace(chart(14, 8), demo=True)).pdf, "", fonts.names_font),
}


@pytest.mark.parametrize("language", PSEUDO)
@pytest.mark.parametrize("sheet", list(ALL))
def test_a_sheet_has_room_for_another_language(sheet: str, language: str) -> None:
    with translation.override(language), conventions_in_use(Conventions.INTERNATIONAL):
        pdf = ALL[sheet].make()
    assert not list(on_each_other(pdf, smaller_than=40 if sheet == "review" else 1000))
    assert looking.white_edge(pdf) >= looking.NOT_PRINTED
    assert looking.structure(pdf)["lang"] == {"en-xa": "en-XA", "ar-xb": "ar-XB"}[language]


def on_each_other(pdf: bytes, smaller_than: float) -> Iterator[str]:
    """Letters of a size below so many points: those in the picture of the sample for a reviewer are as large as it."""
    for page in reading.letters(pdf):
        letters = [letter for letter in page if letter.text.strip(UNSEEN) and letter.size < smaller_than]
        letters.sort(key=lambda letter: letter.top)
        for place, one in enumerate(letters):
            for other in letters[place + 1 :]:
                if other.top > one.bottom:
                    break
                if (one.text, one.x0, one.top) != (other.text, other.x0, other.top) and touch(one, other):
                    yield f"“{one.text}” and “{other.text}” at {one.x0:.0f}, {one.top:.0f} points"


def touch(one: reading.Letter, other: reading.Letter) -> bool:
    """Whether one letter lies on another. A letter with an outline is drawn twice, at the same place."""
    wide = min(one.x1, other.x1) - max(one.x0, other.x0)
    high = min(one.bottom, other.bottom) - max(one.top, other.top)
    least_wide = min(one.x1 - one.x0, other.x1 - other.x0)
    least_high = min(one.bottom - one.top, other.bottom - other.top)
    return wide > MUCH * least_wide and high > MUCH * least_high
