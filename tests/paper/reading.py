"""Reads the letters of a finished PDF, and the words and lines they are in. Lengths are points from the top left."""

import ctypes
import itertools
from collections.abc import Iterator, Sequence
from functools import lru_cache
from operator import attrgetter
from typing import Any, NamedTuple

import pypdfium2  # type: ignore[import-untyped]  # it ships no types
import pypdfium2.raw as pdfium  # type: ignore[import-untyped]

APART = 1.5  # a wider gap stands between two words
DOWN = 3.0  # what stands at most that much lower is on the same line

type Colour = tuple[float, float, float]


class Letter(NamedTuple):
    """A letter in the box its font gives it: as wide as the next is moved on, as high as it is set, down to descenders.

    A sign that stands for several letters is one."""

    text: str
    x0: float
    x1: float
    top: float
    bottom: float
    size: float
    font: str
    colour: Colour


class Word(NamedTuple):
    """Letters of one size on one line, with no gap between them: in points here, in millimeters from looking.py."""

    text: str
    x0: float
    x1: float
    top: float
    bottom: float
    size: float


class Type(NamedTuple):
    """What the letters of one run have in common."""

    face: Any
    size: float
    descent: float
    name: str
    colour: Colour


@lru_cache(maxsize=32)
def letters(pdf: bytes) -> tuple[tuple[Letter, ...], ...]:
    """Of each page, in the order they are drawn in."""
    with pypdfium2.PdfDocument(pdf) as document:
        return tuple(tuple(_Page(page).letters()) for page in document)


class _Page:
    """A page whose letters are asked for one by one. What pdfium answers is written into the same four places."""

    def __init__(self, page: Any) -> None:
        self.kept, self.high = page.get_textpage(), page.get_height()
        self.text = self.kept.raw
        text_objects = page.get_objects([pdfium.FPDF_PAGEOBJ_TEXT])
        self.runs: dict[int, list[Letter]] = {_address(text_object.raw): [] for text_object in text_objects}
        self.types: dict[int, Type] = {}
        self.widths: dict[tuple[str, float, int], float] = {}
        self.x, self.y, self.wide = ctypes.c_double(), ctypes.c_double(), ctypes.c_float()
        self.box = pdfium.FS_RECTF()

    def letters(self) -> Iterator[Letter]:
        for place in range(pdfium.FPDFText_CountChars(self.text)):
            if pdfium.FPDFText_IsGenerated(self.text, place):  # a space or an end of line that is nowhere drawn
                continue
            text_object = pdfium.FPDFText_GetTextObject(self.text, place)
            run = _address(text_object)
            if run not in self.types:
                self.types[run] = self.type_of(text_object, place)
            self.add(self.runs[run], self.types[run], place)
        assert all(self.runs.values()), "letters were passed over: the same stand in the same place"
        return itertools.chain.from_iterable(self.runs.values())

    def add(self, run: list[Letter], of: Type, place: int) -> None:
        pdfium.FPDFText_GetCharOrigin(self.text, place, self.x, self.y)
        x, bottom = self.x.value, self.high - self.y.value - of.descent
        code = pdfium.FPDFText_GetUnicode(self.text, place)
        character = "" if pdfium.FPDFText_HasUnicodeMapError(self.text, place) else chr(code)
        if run and run[-1].x0 == x:
            run[-1] = run[-1]._replace(text=run[-1].text + character, x1=self.loose(place))
        else:
            right = x + self.width(of, code) if character else self.loose(place)
            run.append(Letter(character, x, right, bottom - of.size, bottom, of.size, of.name, of.colour))

    def width(self, of: Type, code: int) -> float:
        """How far a letter moves on what comes after it."""
        key = (of.name, of.size, code)
        if key not in self.widths:
            pdfium.FPDFFont_GetGlyphWidth(of.face, code, of.size, self.wide)
            self.widths[key] = self.wide.value
        return self.widths[key]

    def loose(self, place: int) -> float:
        """Its right edge where the letter alone does not tell it: at least that far, and over all its ink."""
        pdfium.FPDFText_GetLooseCharBox(self.text, place, self.box)
        return float(self.box.right)

    def type_of(self, text_object: Any, place: int) -> Type:
        face, matrix = pdfium.FPDFTextObj_GetFont(text_object), pdfium.FS_MATRIX()
        descent, name = ctypes.c_float(), ctypes.create_string_buffer(200)
        pdfium.FPDFText_GetMatrix(self.text, place, matrix)
        size = pdfium.FPDFText_GetFontSize(self.text, place) * matrix.a
        pdfium.FPDFFont_GetDescent(face, size, descent)
        pdfium.FPDFFont_GetBaseFontName(face, name, len(name))
        red, green, blue, alpha = parts = [ctypes.c_uint() for _ in range(4)]
        pdfium.FPDFText_GetFillColor(self.text, place, *parts)
        assert matrix.b == matrix.c == 0 < matrix.a == matrix.d, "turned or drawn out letters are not measured here"
        assert alpha.value == 255, "letters that let something through have no colour of their own"
        colour = (red.value / 255, green.value / 255, blue.value / 255)
        return Type(face, size, descent.value, name.value.decode(), colour)


def _address(text_object: Any) -> int:
    return ctypes.addressof(text_object.contents)


def words(page: Sequence[Letter]) -> list[Word]:
    """The words of a page, run by run: each of one size."""
    runs = (list(run) for _, run in itertools.groupby(page, attrgetter("size")))
    return [word for run in runs for line in _lines(run) for word in _split(line)]


def text(page: Sequence[Letter]) -> str:
    """Line by line from the top down, whatever was drawn first."""
    return "\n".join(" ".join(word.text for word in _split(line)) for line in _lines(page))


def _lines(letters: Sequence[Letter]) -> Iterator[list[Letter]]:
    """Those that are beside each other, from the left."""
    line: list[Letter] = []
    for letter in sorted(letters, key=attrgetter("top")):
        if line and letter.top > line[-1].top + DOWN:
            yield sorted(line, key=attrgetter("x0"))
            line = []
        line.append(letter)
    yield sorted(line, key=attrgetter("x0"))


def _split(line: Sequence[Letter]) -> Iterator[Word]:
    """At spaces and at gaps."""
    word: list[Letter] = []
    for letter in line:
        blank = letter.text.isspace()
        if word and (blank or letter.x0 > word[-1].x1 + APART or abs(letter.top - word[-1].top) > DOWN):
            yield _word(word)
            word = []
        if not blank:
            word.append(letter)
    if word:
        yield _word(word)


def _word(letters: Sequence[Letter]) -> Word:
    joined = "".join(letter.text for letter in letters)
    left, right = min(letter.x0 for letter in letters), max(letter.x1 for letter in letters)
    top, bottom = min(letter.top for letter in letters), max(letter.bottom for letter in letters)
    return Word(joined, left, right, top, bottom, letters[0].size)
