"""Every drawing of the shelf and every pictogram: well-formed, harmless, called by a bank, places inside its frame."""

import re
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import pytest

from quizzes.banks.pictures.files import drawing, picture_names
from quizzes.banks.rules.checks import picture_words
from quizzes.facts import Spot
from quizzes.questions.showing import center_of
from tests.shelf.banks import CODES, PICTURES, ROOT, bank_of, each_bank, machine_of

PICTOGRAMS = ROOT / "static" / "pictograms"
DRAWINGS = [*sorted(PICTURES.iterdir()), *sorted(PICTOGRAMS.rglob("*.svg"))]
SVG = "{http://www.w3.org/2000/svg}"

# What our drawings are made of. Anything else (script, style, image, use, foreignObject, text) has no business here.
SHAPES = {"svg", "g", "title", "path", "circle", "ellipse", "rect", "line", "polyline", "polygon"}
TRAITS = {
    "viewBox", "width", "height", "d", "points", "x", "y", "x1", "y1", "x2", "y2", "cx", "cy", "r", "rx", "ry",
    "transform", "fill", "fill-rule", "fill-opacity", "opacity", "stroke", "stroke-width", "stroke-linecap",
    "stroke-linejoin", "stroke-dasharray", "role", "aria-hidden", "focusable",
}  # fmt: skip
REACHES_OUT = re.compile(r"url\(|javascript:|data:|https?:|//|&", re.IGNORECASE)

each_drawing = pytest.mark.parametrize("path", DRAWINGS, ids=lambda path: path.name)


def faults(text: str) -> list[str]:
    """What makes a drawing unsafe to show; nothing where it is plain shapes."""
    if "<!" in text or "<?" in text.removeprefix("<?xml"):
        return ["a doctype, a comment or an instruction"]
    problems = []
    for element in ElementTree.fromstring(text).iter():  # noqa: S314  files of our own
        name = element.tag.removeprefix(SVG)
        if name not in SHAPES:
            problems.append(f"<{name}>")
        for trait, value in element.attrib.items():
            if trait not in TRAITS:
                problems.append(f"<{name} {trait}>")
            if REACHES_OUT.search(value):
                problems.append(f'<{name} {trait}="{value}">')
    return problems


@each_drawing
def test_it_is_plain_shapes_and_reaches_for_nothing(path: Path) -> None:
    assert path.suffix == ".svg"
    assert faults(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    "inside",
    [
        "<script>1</script>",
        "<style>a{}</style>",
        '<image href="x.png"/>',
        '<use href="#a"/>',
        '<path onclick="x" d="M0 0"/>',
        '<path style="fill:red" d="M0 0"/>',
        '<path fill="url(#a)" d="M0 0"/>',
        "<foreignObject/>",
        "<!-- said -->",
        "<a href='//x'/>",
    ],
)
def test_unsafe_drawing_is_found(inside: str) -> None:
    assert faults(f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1 1">{inside}</svg>')


@each_drawing
def test_its_frame_starts_at_nought_and_has_a_size(path: Path) -> None:
    facts = drawing(path.name, path.read_bytes())
    assert facts.width >= 24
    assert facts.height >= 24
    assert path.stat().st_size < 12_000


def test_no_drawing_lies_about_unused() -> None:
    called = {name for code in CODES for name in picture_names(bank_of(code))}
    assert {path.name for path in PICTURES.iterdir()} == called


@each_bank
def test_every_place_to_point_at_lies_inside_its_picture(code: str) -> None:
    for question in bank_of(code).live_questions:
        if isinstance(question, Spot):
            facts = drawing(question.picture, (PICTURES / question.picture).read_bytes())
            corners = [corner for place in question.places for corner in place.points]
            assert all(0 <= x <= facts.width and 0 <= y <= facts.height for x, y in corners), question.code


@each_bank
def test_the_letters_of_a_picture_stand_apart(code: str) -> None:
    """A letter is drawn 28 units wide in the middle of its place; two that touch can't be distinguished."""
    for question in bank_of(code).live_questions:
        if isinstance(question, Spot):
            spots = [center_of(place) for place in question.places]
            near = min(
                ((x - u) ** 2 + (y - v) ** 2) ** 0.5 for n, (x, y) in enumerate(spots) for u, v in spots[n + 1 :]
            )
            assert near >= 30, f"{question.code}: two letters are {near:.0f} apart"


# Where the answer depends on how a thing looks, not on where it is: how each place looks is said in words, the right
# place no more than the others. Bank, question, and how the words on each place begin.
BY_LOOKS = [
    ("general-shop-safety", "cords-3", ("Chuck: ", "Grip: ", "Cord: ", "Plug: ")),
    ("general-shop-safety", "loose-things-3", ("Eyes: ", "Collar: ", "Sleeve: ", "Feet: ")),
    ("hand-tools-and-clamping", "handles-1", ("First: ", "Second: ", "Third: ", "Fifth: ")),
    ("hand-tools-and-clamping", "clean-heads-1", ("the left one is ", "the right one is ", "Both have an edge ")),
    ("table-saw", "guard-on-5", ("a board ", "a hood ", "behind the blade ", "behind the plate ")),
]


@pytest.mark.parametrize(("code", "question", "begin"), BY_LOOKS)
def test_a_student_who_reads_the_picture_can_tell_the_places_apart(
    code: str, question: str, begin: tuple[str, ...]
) -> None:
    asked = bank_of(code).question_by_code[question]
    assert isinstance(asked, Spot)
    described = [start for start in begin if len(asked.picture_alt.partition(start)[2].split(".")[0]) > 2]
    assert described == list(begin)
    assert question not in [finding.where for finding in picture_words(bank_of(code))]


@each_bank
def test_a_machine_has_a_pictogram_of_its_own(code: str) -> None:
    named = machine_of(code).get("pictogram")
    assert named in (None, f"{code}.svg")
