"""A finished wall card: one page or a stated split, names whole and as large as the card says, a code that scans."""

import re
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from shopsafe.paper import fonts
from shopsafe.paper.prints import wall_card_pdf
from shopsafe.paper.rules.legibility import missing_letters
from shopsafe.paper.rules.names import Name, short_names
from shopsafe.paper.rules.sheets import A3, A4, LETTER, TABLOID, Paper, TagOutNote, WallCard
from tests.paper import looking, once
from tests.paper.people import people


def made(card: WallCard, *papers: Paper) -> bytes:
    return once.wall_card(card, *papers).pdf


CARD = WallCard(
    machine="Band saw 2",
    scope="Period 3, Grade 7 Wood",
    names=people(14),
    stop="Press the red stop paddle with your knee or hand.",
    printed=date(2026, 10, 14),
    valid_until=date(2026, 12, 18),
    code="7K3D-QV",
    url="HTTP://127.0.0.1:8000/C/7K3D-QV",
    protect=("eye", "hair", "sleeves", "jewellery"),
    pre_use=("Guard down to the wood", "Blade whole and tight", "Table clear and locked", "Floor dry and clear"),
    rules=(
        "Set the guard just above the wood before you start.",
        "Keep fingers out of the line of the cut at all times.",
        "Never stand in the path of a breaking blade.",
        "Wait until the blade stands still before you clear scraps.",
    ),
    stop_and_ask=("the guard is loose", "the blade is damaged", "no teacher is in the room"),
)
WORDY: dict[str, Any] = {
    "machine": "Oscillating spindle sander 12",
    "scope": "All classes of Room W2: Period 1, Period 3, Period 5 and Period 6, Grades 7 and 8",
    "stop": "Press the green lever under the table down with your foot, let go, and stand back until it is still.",
    "protect": ("eye", "ear", "dust", "hair", "sleeves", "apron"),
    "pre_use": ("Abrasive paper whole and the right way round", "Table insert fits closely", "Dust collector on"),
    "rules": (
        "Hold the wood flat on the table with both hands and keep your fingers well away.",
        "Move the wood against the turning of the spindle, slowly, and never stay in one place.",
        "Check that the gap in the table is small before you turn the spindle sander on today.",
    ),
    "stop_and_ask": ("the abrasive is torn", "the spindle wobbles", "the dust collector does not run"),
}


def reads_from(pdf: bytes) -> float:
    distances = re.findall(r"Reads from ([\d.]+) m", looking.text(pdf))
    assert distances
    assert len(set(distances)) == 1, "the sheets of one card say different distances"
    return float(distances[0])


def pages(pdf: bytes) -> int:
    return len(looking.page_sizes(pdf))


@pytest.mark.parametrize("paper", [LETTER, A4], ids=lambda paper: paper.code)
@pytest.mark.parametrize("count", [1, 14, 30, 36])
@pytest.mark.parametrize("long", [False, True], ids=["short", "long"])
def test_is_one_page_or_a_stated_split(paper: Paper, count: int, long: bool) -> None:
    card = replace(CARD, names=people(count, long=long))
    pdf = made(card, paper)
    sheets, card_text = pages(pdf), looking.text(pdf)
    assert sheets in (1, 2)
    assert re.findall(r"Sheet (\d) of (\d)", card_text) == ([("1", "2"), ("2", "2")] if sheets == 2 else [])
    shown = [card.names[0].full] if count == 1 else short_names(card.names)
    for name in shown:
        assert card_text.count(f"{name} ") == 1, name


@pytest.mark.parametrize("paper", [LETTER, A4, TABLOID, A3], ids=lambda paper: paper.code)
@pytest.mark.parametrize("more", [{}, WORDY], ids=["plain", "wordy"])
@pytest.mark.parametrize("count", [0, 14, 36])
def test_nothing_lies_over_anything_else_or_off_the_page(paper: Paper, more: dict[str, Any], count: int) -> None:
    pdf = made(replace(CARD, names=people(count), **more), paper)
    for page in range(pages(pdf)):
        page_words = looking.words(pdf, page)
        assert min(word.x0 for word in page_words) >= 9.5
        assert max(word.x1 for word in page_words) <= paper.width - 9.5
        assert max(word.bottom for word in page_words) <= paper.height - 9
        assert clashes(page_words) == []


def clashes(page_words: list[looking.Word]) -> list[tuple[str, str]]:
    """Pairs of words that lie over each other. Boxes reach from ascender to descender, so letters keep apart when the
    middles of the boxes are over half a size apart."""
    pairs = []
    downwards = sorted((word.top + word.bottom, place) for place, word in enumerate(page_words))
    farthest = 2 * 0.55 * max((word.size for word in page_words), default=0)
    for index, (middles, place) in enumerate(downwards):
        upper_word = page_words[place]
        for below, beside in downwards[index + 1 :]:
            if below >= middles + farthest:
                break
            lower_word = page_words[beside]
            across = min(upper_word.x1, lower_word.x1) - max(upper_word.x0, lower_word.x0)
            if across > 0.4 and (below - middles) / 2 < 0.55 * max(upper_word.size, lower_word.size):
                pairs.append((upper_word.text, lower_word.text))
    return pairs


@pytest.mark.parametrize("count", [3, 14, 36])
def test_the_ink_of_the_names_is_as_high_as_the_stated_distance_needs(count: int) -> None:
    card = replace(CARD, names=tuple(Name(f"Ennis {index:02}") for index in range(count)))
    pdf = made(card, LETTER)
    names = [word for word in looking.words(pdf) if word.text == "Ennis"]
    assert len(names) >= count / 3
    picture, dpi = looking.raster(pdf, dpi=400), 400
    letter = fonts.names_font().advances[ord("E")] / 1000
    heights = [looking.ink_height(picture, dpi, word, letter * word.size) for word in names]
    dot = 25.4 / dpi
    assert max(heights) - min(heights) <= 1.01 * dot, "one name is smaller than another"
    needed = reads_from(pdf) * 1000 / 300
    assert needed - dot <= min(heights) < needed + 100 / 300 + 2 * dot


def test_the_machine_is_named_large_enough_for_six_metres() -> None:
    pdf = made(CARD, LETTER)
    title = next(word for word in looking.words(pdf) if word.text == "BAND")
    letter = fonts.heading_font().advances[ord("B")] / 1000
    assert looking.ink_height(looking.raster(pdf, dpi=300), 300, title, letter * title.size) >= 20 - 25.4 / 300


def test_fourteen_read_from_three_metres_on_one_letter_sheet() -> None:
    pdf = made(CARD, LETTER)
    assert pages(pdf) == 1
    assert reads_from(pdf) >= 3


def test_thirty_move_to_the_larger_paper_when_it_is_offered() -> None:
    pdf = made(replace(CARD, names=people(30)), LETTER, TABLOID)
    assert looking.page_sizes(pdf) == [pytest.approx((279.4, 431.8), abs=0.1)]
    assert reads_from(pdf) >= 3


def test_names_run_down_the_columns_in_order() -> None:
    pdf = made(CARD, LETTER)
    first = {name.given for name in CARD.names}
    starts = [word for word in looking.words(pdf) if word.text in first]
    by_column = sorted(starts, key=lambda word: (round(word.x0 / 10), word.top))
    assert [word.text for word in by_column] == sorted(first, key=lambda name: name.replace("Ł", "L"))


@pytest.mark.parametrize("paper", [LETTER, A4, TABLOID, A3], ids=lambda paper: paper.code)
def test_the_code_scans_from_a_one_bit_raster(paper: Paper) -> None:
    assert looking.codes(made(CARD, paper)) == [CARD.url]


def test_is_tagged_with_title_language_and_headings() -> None:
    pdf = made(CARD, LETTER)
    structure = looking.structure(pdf)
    assert structure["title"] == "Wall card: Band saw 2"
    assert structure["lang"] == "en"
    assert structure["marked"]
    assert structure["ua"] == "1"
    assert structure["tags"]["/H1"] == 1
    assert structure["tags"]["/L"] >= 4
    assert structure["tags"]["/Figure"] == 1
    assert structure["silent_figures"] == 0
    assert looking.qpdf_complaints(pdf) == ""


def test_carries_the_cautions() -> None:
    card_text = looking.text(made(CARD, LETTER))
    assert "Follow the shop rules and the maker's manual. They come first." in card_text
    assert "Stop and ask if the guard is loose, the blade is damaged, or no teacher is in the room." in card_text
    assert "Valid until" in card_text
    assert "18 December 2026" in card_text


def test_the_same_card_gives_the_same_bytes() -> None:
    assert wall_card_pdf(CARD, LETTER) == made(CARD, LETTER)


HOSTILE = (
    "</style><script>alert(1)</script><img src='file:///etc/passwd'><link rel=attachment href='file:///etc/hosts'>"
)


def test_hostile_names_and_texts_stay_text() -> None:
    card = replace(CARD, names=(Name(HOSTILE),), machine="Saw {{ 7 }}", scope=HOSTILE, stop=HOSTILE, rules=(HOSTILE,))
    pdf = made(card, LETTER)
    assert "<script>alert(1)</script>" in looking.text(pdf)
    assert "SAW {{ 7 }}" in looking.text(pdf)
    assert b"/EmbeddedFile" not in pdf
    assert looking.photos_and_links(pdf) == 0


def test_every_letter_of_the_sample_people_can_be_drawn() -> None:
    for person in people(36):
        assert missing_letters(person.full, [fonts.names_font()]) == ()


def test_no_one_cleared_says_so() -> None:
    card_text = looking.text(made(replace(CARD, names=()), LETTER))
    assert "No one may use it yet" in card_text
    assert "Only these people" not in card_text


def test_a_machine_tagged_out_gets_a_card_without_names() -> None:
    tag_out_note = TagOutNote("Blade guard cracked", date(2026, 10, 13), "Ms Falkenrath")
    pdf = made(replace(CARD, tagged_out=tag_out_note), LETTER)
    card_text = looking.text(pdf)
    assert "No one may use it." in card_text
    assert "Blade guard cracked" in card_text
    assert "Amira" not in card_text
    assert looking.structure(pdf)["title"] == "Tagged out: Band saw 2"
