"""The shelf keeps its promises: sources that resolve, clean drawings, answers that don't give themselves away."""

import re
from pathlib import Path
from statistics import median, quantiles
from xml.etree import ElementTree

import pytest
from django.conf import settings

from quizzes import reading
from quizzes.bankfile import read_bank
from quizzes.facts import BankText, Measure, One, Spot

SHELF = Path(settings.SHELF)
PATHS = sorted(SHELF.glob("*.toml"))
DRAWINGS = sorted((SHELF / "pictures").glob("*.svg"))
PICTOGRAMS = sorted((settings.BASE_DIR / "static" / "pictograms" / "machines").glob("*.svg"))
SVG = "{http://www.w3.org/2000/svg}"
SHAPES = {"svg", "g", "path", "circle", "ellipse", "rect", "polygon", "polyline", "line"}
NEGATIVES = re.compile(r"\b(not|never|except|cannot|don't|doesn't|isn't|can't|won't|shouldn't)\b", re.IGNORECASE)
CAREFUL = re.compile(
    r"\b(guard|stop|teacher|tell|ask|wait|safe|safely|careful|carefully|report|check|clamp|still|slowly|clear|warn)\b"
)
each_bank = pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)


def bank_in(path: Path) -> BankText:
    return read_bank(path.read_text(encoding="utf-8"))


def cited() -> set[str]:
    rows = (SHELF / "SOURCES.md").read_text(encoding="utf-8").splitlines()
    return {row.split("|")[1].strip() for row in rows if row.startswith("|")} - {"source", "---"}


def test_all_seventeen_subjects_are_there() -> None:
    assert len(PATHS) == 17


@each_bank
def test_every_source_is_in_the_list(path: Path) -> None:
    bank = bank_in(path)
    assert {rule.source for rule in bank.rules} | {value.source for value in bank.values} <= cited()


@each_bank
def test_enough_rules_and_questions_of_all_kinds(path: Path) -> None:
    bank = bank_in(path)
    asked = [question.rule for question in bank.questions]
    assert len(bank.rules) >= 12
    assert len(bank.questions) >= 48
    assert {question.kind for question in bank.questions} == {"one", "several", "order", "pair", "spot", "measure"}
    assert [rule.code for rule in bank.rules if asked.count(rule.code) < (4 if rule.must_ask else 3)] == []


@each_bank
def test_stems_ask_without_a_negative(path: Path) -> None:
    assert [question.code for question in bank_in(path).questions if NEGATIVES.search(question.asks)] == []


@each_bank
def test_places_lie_on_their_drawing(path: Path) -> None:
    for question in bank_in(path).questions:
        if isinstance(question, Spot):
            root = ElementTree.fromstring((SHELF / "pictures" / question.picture).read_bytes())  # noqa: S314 our own file
            width, height = map(float, root.attrib["viewBox"].split()[2:])
            for x, y in (corner for place in question.places for corner in place.points):
                assert 0 <= x <= width, question.code
                assert 0 <= y <= height, question.code


@pytest.mark.parametrize("path", [*DRAWINGS, *PICTOGRAMS], ids=lambda path: path.stem)
def test_a_drawing_is_only_lines_and_fills(path: Path) -> None:
    """No words, scripts, styles or anything from elsewhere: it must look the same on screen and on paper."""
    for element in ElementTree.fromstring(path.read_bytes()).iter():  # noqa: S314 our own file
        assert element.tag.removeprefix(SVG) in SHAPES
        assert not {name for name in element.attrib if "href" in name or name == "style" or name.startswith("on")}


@each_bank
def test_every_drawing_named_is_there(path: Path) -> None:
    bank = bank_in(path)
    named = {rule.picture for rule in bank.rules if rule.picture}
    named |= {question.picture for question in bank.questions if isinstance(question, Spot)}
    assert len(named) >= 2
    assert {name for name in named if not (SHELF / "pictures" / name).is_file()} == set()


@each_bank
def test_student_text_reads_easily(path: Path) -> None:
    """Flesch-Kincaid (1975) a text: median 5 at most, nine tenths 7 at most."""
    bank = bank_in(path)
    texts = [text for rule in bank.rules for text in (rule.says, rule.why)] + [one.asks for one in bank.questions]
    grades = [grade for text in texts if (grade := reading.grade(text)) is not None]
    assert median(grades) <= 5
    assert quantiles(grades, n=10)[-1] <= 7


@each_bank
@pytest.mark.parametrize("trait", ["longest", "shortest", "careful"])
def test_a_guesser_who_goes_by_looks_fares_no_better_than_chance(path: Path, trait: str) -> None:
    """Picks by length or by careful words, ties shared. More than a tenth above chance is a giveaway."""
    ones = [question for question in bank_in(path).questions if isinstance(question, One)]
    assert sum(_share(trait, one) - 1 / (1 + len(one.wrong)) for one in ones) / len(ones) <= 0.1


def _share(trait: str, one: One) -> float:
    marks = [_mark(trait, text) for text in (one.right, *one.wrong)]
    return (marks[0] == max(marks)) / marks.count(max(marks))


def _mark(trait: str, text: str) -> int:
    if trait == "careful":
        return len(CAREFUL.findall(text.casefold()))
    return len(text) if trait == "longest" else -len(text)


@each_bank
def test_every_stored_value_says_that_the_shop_may_set_its_own(path: Path) -> None:
    bank = bank_in(path)
    assert [value.code for value in bank.values if "may set its own" not in value.note] == []
    assert {question.value for question in bank.questions if isinstance(question, Measure)}
