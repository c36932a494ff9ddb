"""Whether every letter of a sheet can be drawn, asked before it is printed: no box stands for a letter of a name."""

from collections.abc import Iterator, Sequence
from dataclasses import fields, is_dataclass
from typing import Any

from shopsafe.paper.fonts import undrawable
from shopsafe.paper.press.worker import PrintFailed

NOT_SET = {"url", "picture", "digest"}  # drawn as a square, as a picture, or in figures
SHORTENED = 60


def all_drawable(*sheets: Any) -> None:
    """Raises PrintFailed, with the name and the letters, for the first text that no font here can draw."""
    for text in dict.fromkeys(text for sheet in sheets for text in texts(sheet)):
        if letters := undrawable(text):
            raise PrintFailed("print.no-letters", sentence(text, letters), 422)


def sentence(text: str, letters: Sequence[str]) -> str:
    """ "No font here can draw “𒀀” in “Ana 𒀀”. ..." """
    shown = text if len(text) <= SHORTENED else f"{text[:SHORTENED]}…"
    return (
        f"No font here can draw “{'”, “'.join(letters)}” in “{shown}”, so nothing was printed. Have the fonts"
        " fonts-noto-core and fonts-noto-cjk installed on the server, or write it in other letters."
    )


def texts(sheet: Any) -> Iterator[str]:
    """Every text that a sheet's dataclass sets in type."""
    if isinstance(sheet, str):
        yield sheet
    elif isinstance(sheet, (tuple, list)):
        for part in sheet:
            yield from texts(part)
    elif is_dataclass(sheet):
        for field in fields(sheet):
            if field.name not in NOT_SET:
                yield from texts(getattr(sheet, field.name))
