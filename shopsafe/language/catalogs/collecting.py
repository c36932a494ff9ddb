"""Collects the sentences that people read, from Python and from templates, each with the places where it stands."""

import ast
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from shopsafe.language.pieces import Cut, cut
from shopsafe.language.templates import INLINE, Message, Sentence, sentences

# The modules whose functions look a sentence up, and which of a function's first arguments are sentences.
LOOK_UP = ("shopsafe.language.messages", "django.utils.translation")
SENTENCES = {"_": 1, "marked": 1, "counted": 2, "gettext": 1, "gettext_lazy": 1, "ngettext": 2, "ngettext_lazy": 2}
AROUND = 400  # letters of what stands around a sentence: enough for a translator to see what it is about


@dataclass(frozen=True)
class Collected:
    """A message, where it stands, and what a translator needs to know of that place."""

    message: Message
    path: str
    line: int
    around: str = ""


def collected(root: Path, packages: Iterable[str], templates: str) -> Iterator[Collected]:
    """Every sentence of these packages and of the templates."""
    for package in packages:
        for path in sorted((root / package).rglob("*.py")):
            yield from in_python(path.read_text(), str(path.relative_to(root)))
    for path in sorted((root / templates).rglob("*.html")):
        yield from in_template(path.read_text(), str(path.relative_to(root)))


def in_python(source: str, path: str) -> Iterator[Collected]:
    """The sentences that are handed to a function that looks them up, by whatever name it was imported."""
    if not any(module in source for module in LOOK_UP):
        return
    nodes = list(ast.walk(ast.parse(source)))
    names = {
        alias.asname or alias.name: SENTENCES[alias.name]
        for node in nodes
        if isinstance(node, ast.ImportFrom) and node.module in LOOK_UP
        for alias in node.names
        if alias.name in SENTENCES
    }
    for node in nodes:
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in names:
            arguments = node.args[: names[node.func.id]]
            texts = [each.value for each in arguments if isinstance(each, ast.Constant) and isinstance(each.value, str)]
            # What is no constant was marked where it is written down.
            if texts and len(texts) == names[node.func.id]:
                yield Collected(Message(*texts), path, node.lineno)


def in_template(source: str, path: str) -> Iterator[Collected]:
    """The sentences of a template. One that is cut by {% if %} brings along what stands around it."""
    template = cut(source)
    for sentence in _each(sentences(source)):
        line = source.count("\n", 0, sentence.start) + 1
        yield Collected(sentence.message, path, line, _around(template, sentence))


def _each(of: Iterable[Sentence]) -> Iterator[Sentence]:
    for sentence in of:
        yield sentence
        yield from _each(sentence.inside)


def _around(template: Cut, sentence: Sentence) -> str:
    """The text of the whole block element that the sentence is in, where that is more than the sentence."""
    ends = [piece for piece in template.pieces if piece.kind in ("open", "close", "void") and piece.name not in INLINE]
    start = max((piece.end for piece in ends if piece.end <= sentence.start), default=0)
    end = min((piece.start for piece in ends if piece.start >= sentence.end), default=len(template.source))
    around = " ".join(template.source[start:end].split())
    alone = " ".join(template.source[sentence.start : sentence.end].split())
    return "" if around == alone or len(around) > AROUND else around
