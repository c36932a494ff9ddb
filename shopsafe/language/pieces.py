"""A template's source cut into pieces that lie side by side: text, elements, expressions and tags.

Django's lexer finds what is in braces. The rest is read by the standard library's HTML parser, with each of those
replaced by as many letters that mean nothing in HTML, so that every piece keeps its place in the source.
"""

import re
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from html.parser import HTMLParser
from typing import Literal

from django.template.base import DebugLexer, Token, TokenType

FILLER = "\ue000"  # of a private use area: neither a space nor a letter, and nothing that HTML knows
UNREAD = {"script", "style"}
TAG_NAME = re.compile(r"\w+")


# The start or the end of an element; an element that has no end; {{ }}; {% %}; what no one reads.
type PieceKind = Literal["text", "open", "close", "void", "value", "tag", "aside"]


@dataclass(frozen=True, slots=True)
class Piece:
    """`source[start:end]`. `name` is the element's or the tag's."""

    kind: PieceKind
    start: int
    end: int
    name: str = ""


@dataclass(frozen=True)
class Cut:
    """A template in pieces, and its source with FILLER in place of everything in braces."""

    source: str
    opaque: str
    pieces: list[Piece]
    in_braces: list[Piece]

    def in_braces_between(self, start: int, end: int) -> list[Piece]:
        """What is in braces there, such as the values inside an attribute."""
        starts = [piece.start for piece in self.in_braces]
        return self.in_braces[bisect_right(starts, start - 1) : bisect_right(starts, end - 1)]


def cut(source: str) -> Cut:
    """Cut a template's source. The pieces cover it without a gap."""
    in_braces = list(_in_braces(source))
    letters = list(source)
    for piece in in_braces:
        letters[piece.start : piece.end] = FILLER * (piece.end - piece.start)
    opaque = "".join(letters)
    elements = _Elements(opaque).found
    return Cut(source, opaque, list(_side_by_side(source, elements, in_braces)), in_braces)


def _in_braces(source: str) -> Iterator[Piece]:
    """{{ }}, {% %} and {# #}. A comment is one piece with what it holds; so is a block of attributes for an element's
    tag."""
    aside_start, aside_ends = 0, ""
    for token in DebugLexer(source).tokenize():
        if token.token_type is TokenType.TEXT or token.position is None:
            continue
        start, end = token.position
        name = _name_of(token)
        if aside_ends:
            if name == aside_ends:
                yield Piece("aside", aside_start, end)
                aside_ends = ""
        elif name == "comment" or (name == "block" and token.contents.endswith("_attrs")):
            aside_start, aside_ends = start, f"end{name}"
        elif token.token_type is TokenType.COMMENT:
            yield Piece("aside", start, end)
        else:
            yield Piece("value" if token.token_type is TokenType.VAR else "tag", start, end, name)


def _name_of(token: Token) -> str:
    match = TAG_NAME.match(token.contents) if token.token_type is TokenType.BLOCK else None
    return match[0] if match else ""


class _Elements(HTMLParser):
    """The tags of elements, where they stand, and what scripts and styles hold."""

    def __init__(self, opaque: str) -> None:
        super().__init__(convert_charrefs=False)
        self.opaque, self.found = opaque, list[Piece]()
        self.lines = [0]
        self.lines += [match.end() for match in re.finditer("\n", opaque)]
        self.feed(opaque)
        self.close()

    def _here(self) -> int:
        line, column = self.getpos()
        return self.lines[line - 1] + column

    def _note(self, kind: PieceKind, name: str) -> None:
        start = self._here()
        text = self.get_starttag_text() if kind != "close" else None
        end = start + len(text) if text else self.opaque.index(">", start) + 1
        self.found.append(Piece(kind, start, end, name))

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._note("open", tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._note("void", tag)

    def handle_endtag(self, tag: str) -> None:
        self._note("close", tag)

    def handle_data(self, data: str) -> None:
        if self.found and self.found[-1].kind == "open" and self.found[-1].name in UNREAD and data:
            start = self._here()
            self.found.append(Piece("aside", start, start + len(data)))

    def handle_comment(self, data: str) -> None:
        start = self._here()
        self.found.append(Piece("aside", start, self.opaque.index("-->", start) + 3))

    def handle_decl(self, decl: str) -> None:
        start = self._here()
        self.found.append(Piece("aside", start, self.opaque.index(">", start) + 1))


def _side_by_side(source: str, elements: list[Piece], in_braces: list[Piece]) -> Iterator[Piece]:
    """All pieces in their order. What is in braces inside an element's own tag belongs to that tag."""
    at, left = 0, list(reversed(in_braces))
    for element in [*elements, Piece("aside", len(source), len(source))]:
        while left and left[-1].start < element.start:
            piece = left.pop()
            if piece.start > at:
                yield Piece("text", at, piece.start)
            yield piece
            at = piece.end
        while left and left[-1].start < element.end:
            left.pop()
        if element.start > at:
            yield Piece("text", at, element.start)
        if element.end > element.start:
            yield element
        at = element.end
