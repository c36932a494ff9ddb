"""What a bank file may not do to the reader: found in one pass over its text, before TOML is parsed.

The parser takes time and memory that grow with the square of a dotted name's parts, and reads numbers of any length.
No bank needs either: its own tables use names of one part and small numbers.
"""

import re
from collections.abc import Iterator

from quizzes.banks.rules.fields import Problem
from shopsafe.language.messages import _

MOST_PARTS = 8  # of a dotted name
MOST_DEPTH = 12  # lists and tables inside each other
LONGEST_WORD = 100  # a name without quotes, a number, a date
MOST_ENTRIES = 50_000  # a bank of 2,000 questions, the most that is read, has about 20,000

_TOKEN = re.compile(r'"""|\'\'\'|["\'#\[\]{}.,=\n]|[^\s"\'#\[\]{}.,=]+')
_STRING_END = {
    '"""': re.compile(r'(?:[^"\\]|\\.|"(?!""))*+"{3,5}', re.DOTALL),
    "'''": re.compile(r"(?:[^']|'(?!''))*+'{3,5}"),
    '"': re.compile(r'(?:[^"\\\n]|\\[^\n])*+"'),
    "'": re.compile(r"[^'\n]*+'"),
}


def against_shape(text: str) -> Problem | None:
    """Why the text is not parsed at all, with its line; None for a text that is safe to parse."""
    depth = dots = entries = 0
    for at, part in _tokens(text):
        if part == ".":
            dots += 1
        elif part in ",=\n[]{}":
            dots = 0
        depth += (part in "[{") - (part in "]}")
        entries += part == "="
        sentence = _against(part, depth=depth, parts=dots + 1, entries=entries)
        if sentence:
            return Problem(text.count("\n", 0, at) + 1, _("the file"), sentence)
    return None


def _against(part: str, *, depth: int, parts: int, entries: int) -> str:
    if depth > MOST_DEPTH:
        return _(
            "It is nested too deeply, more than {most_depth} brackets. Write lists side by side.", most_depth=MOST_DEPTH
        )
    if parts > MOST_PARTS:
        return _("A name has more than {most_parts} parts. Use short names without dots.", most_parts=MOST_PARTS)
    if len(part) > LONGEST_WORD:
        return _(
            "A name or number is longer than {longest_word} characters. Shorten it, or put a text in quotes.",
            longest_word=LONGEST_WORD,
        )
    if entries > MOST_ENTRIES:
        return _(
            "It has more than {most_entries} entries. Split the bank by subject.", most_entries=f"{MOST_ENTRIES:,}"
        )
    return ""


def _tokens(text: str) -> Iterator[tuple[int, str]]:
    """What stands outside strings and comments. It ends at a string that is never closed: the parser names that."""
    at = 0
    while token := _TOKEN.search(text, at):
        at = token.end()
        if token[0] == "#":
            at = text.find("\n", at)
            if at < 0:
                return
        elif token[0] in _STRING_END:
            end = _STRING_END[token[0]].match(text, at)
            if end is None:
                return
            at = end.end()
        else:
            yield token.start(), token[0]
