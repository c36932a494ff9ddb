"""How large print must be to be read from a distance, and how names fit on a sheet. Metrics are handed in.

Lengths are millimeters unless the name says otherwise; distances are meters. A "size" is a font size (the em), a
"capital" the height of a capital letter, which is what a reader's eye resolves and what the published ratios are about.
"""

import math
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

TEXT = 300  # viewing distance / capital height, message text [ANSI Z535.2 §9.2.3]
SIGNAL = 150  # the same for the signal word [ANSI Z535.2 §9.2.3]
MM_PER_IN = 25.4
MM_PER_PT = MM_PER_IN / 72
LEAST_CAPITAL = 0.16 * MM_PER_IN  # no message text on a sign is smaller [ANSI Z535.2 §9.2.3]
TALL = 1.5  # ems: the lines of Noto's fonts, from the highest mark to the lowest
HAIR = 1e-9  # forgives the last bit of a float, never a tenth of anything


@dataclass(frozen=True, eq=False)
class Metrics:
    """What a font file says about itself, in its own units. Each file is read once: a font is itself and no other."""

    family: str
    units_per_em: int
    cap_height: int  # OS/2 sCapHeight
    advances: Mapping[int, int]  # code point → advance width


@dataclass(frozen=True)
class Fit:
    """Names set in columns: how large, from how far they read, and how many names each sheet holds at that size."""

    columns: int
    size: float
    capital: float
    metres: float
    rooms: tuple[int, ...]


# --- distance and capital height -------------------------------------------------------------------------------------


def capital_for(metres: float, ratio: int = TEXT) -> float:
    """Capital height that reads from `meters`, never under the least height of a sign's message."""
    return max(1000 * metres / ratio, LEAST_CAPITAL)


def capital_in_whole_mm(metres: float, ratio: int = TEXT) -> int:
    """The same as tables give it: whole millimeters, rounded up [ASR A1.3]."""
    return math.ceil(1000 * metres / ratio - HAIR)


def reading_distance(capital: float, ratio: int = TEXT) -> float:
    """From how far a capital of this height reads: rounded down to a tenth, so that it never promises too much."""
    return math.floor(capital * ratio / 100 + HAIR) / 10


def capital_of(size: float, metrics: Metrics) -> float:
    """Capital height of text set at `size`, from the font's own metrics."""
    return size * metrics.cap_height / metrics.units_per_em


def size_for(capital: float, metrics: Metrics) -> float:
    """Font size at which the capitals are `capital` high."""
    return capital * metrics.units_per_em / metrics.cap_height


# --- widths ----------------------------------------------------------------------------------------------------------


def width(text: str, size: float, fonts: Sequence[Metrics]) -> float:
    """Width of `text` on one line, unkerned. A letter comes from the first font that has it; one that none has counts
    a full em, so that an unknown letter can only make the print smaller."""
    return size * _ems(text, tuple(fonts))


@lru_cache(maxsize=20_000)
def _ems(text: str, fonts: tuple[Metrics, ...]) -> float:
    """The same at size 1: a plan asks for each line at every size it tries."""
    return sum(advance(letter, fonts) for letter in unicodedata.normalize("NFC", text))


def advance(letter: str, fonts: Sequence[Metrics]) -> float:
    """Advance of one letter in ems."""
    for font in fonts:
        if (units := font.advances.get(ord(letter))) is not None:
            return units / font.units_per_em
    return 0.0 if unicodedata.combining(letter) or _only_directs(letter) else 1.0


def _only_directs(letter: str) -> bool:
    """True of what only says in which direction the letters after it run, or where a word may break."""
    return unicodedata.category(letter) == "Cf"


def line_height(texts: Iterable[str], fonts: Sequence[Metrics], plain: float) -> float:
    """Least line height in ems: `plain` where the first font draws every letter, more for scripts that stand higher and
    hang lower than its own."""
    known = fonts[0].advances
    foreign = any(
        ord(letter) not in known and not _only_directs(letter)
        for text in texts
        for letter in unicodedata.normalize("NFC", text)
    )
    return max(plain, TALL) if foreign else plain


def missing_letters(text: str, fonts: Sequence[Metrics]) -> tuple[str, ...]:
    """Letters of `text` that no font can draw, once each, in order. Joiners and the like are drawn by no font."""
    composed = unicodedata.normalize("NFC", text)
    unknown = (
        letter
        for letter in composed
        if unicodedata.category(letter) not in ("Cf", "Zs") and not any(ord(letter) in font.advances for font in fonts)
    )
    return tuple(dict.fromkeys(unknown))


def wrap(text: str, room: float, size: float, fonts: Sequence[Metrics]) -> list[str]:
    """`text` broken at its spaces into lines no wider than `room`; a word that is wider stands alone. A no-break space
    holds two words together."""
    lines: list[str] = []
    for word in filter(None, text.split(" ")):
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and width(joined, size, fonts) <= room:
            lines[-1] = joined
        else:
            lines.append(word)
    return lines


# --- names in columns ------------------------------------------------------------------------------------------------


def fit_names(
    names: Sequence[str],
    wide: float,
    heights: Sequence[float],
    fonts: Sequence[Metrics],
    *,
    most: float,
    pitch: float = 1.0,
    gutter: float = 8.0,
    columns: Sequence[int] = (1, 2, 3, 4),
) -> Fit:
    """The largest size at which every name fits on one line of 1-4 columns: one size for all, nothing cut off.

    `heights` are the areas for names on one sheet or on several, all `wide`. `most` caps the size, `pitch` is the least
    line height in ems, the first font gives the capital. Of two arrangements of one size the one with fewer columns
    wins, since a list is read down.
    """
    widest = max((width(name, 1.0, fonts) for name in names), default=0.0)
    best, chosen = 0.0, columns[0]
    for count in columns:
        column = (wide - gutter * (count - 1)) / count
        size = _tallest(len(names), count, heights, pitch, min(most, column / widest if widest else most))
        if size > best + HAIR:
            best, chosen = size, count
    size = math.floor(best * 100 + HAIR) / 100
    rooms = tuple(_rows(height, size * pitch) * chosen for height in heights)
    capital = capital_of(size, fonts[0])
    return Fit(chosen, size, capital, reading_distance(capital), rooms)


def _tallest(names: int, columns: int, heights: Sequence[float], pitch: float, limit: float) -> float:
    """The largest size up to `limit` at which the sheets hold all names. Sizes worth trying fill a sheet exactly."""
    rows = range(1, math.ceil(names / columns) + 1)
    sizes = {limit} | {height / (count * pitch) for height in heights for count in rows}
    for size in sorted((size for size in sizes if 0 < size <= limit), reverse=True):
        if columns * sum(_rows(height, size * pitch) for height in heights) >= names:
            return size
    return 0.0


def _rows(height: float, line: float) -> int:
    return math.floor(height / line + HAIR) if line > 0 else 0


def split(names: Sequence[str], rooms: Sequence[int]) -> list[tuple[str, ...]]:
    """Names in order over sheets that hold `rooms` names each, as evenly as the rooms allow."""
    if len(names) > sum(rooms):
        raise ValueError(f"{len(names)} names don't fit in rooms for {list(rooms)}")
    counts = [0] * len(rooms)
    for _ in names:
        free = (index for index, room in enumerate(rooms) if counts[index] < room)
        counts[min(free, key=lambda index: counts[index])] += 1
    starts = [sum(counts[:index]) for index in range(len(counts))]
    return [tuple(names[start : start + count]) for start, count in zip(starts, counts, strict=True)]


@dataclass(frozen=True)
class NameLayout:
    """One way to hang the names: which names, on which paper, over how many sheets, and from how far that reads."""

    names: str  # "full" or "short"
    paper: str
    sheets: int
    metres: float


def choose(ways: Sequence[NameLayout], target: float) -> NameLayout:
    """The first way that reads from `target`; if none does, the one that reads from furthest, the earlier of equals.

    Callers list ways in the order of the ladder: full names, first name and initial, larger paper, more sheets.
    """
    for way in ways:
        if way.metres + HAIR >= target:
            return way
    return max(ways, key=lambda way: way.metres)
