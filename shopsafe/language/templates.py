"""The sentences of a template: where they stand, how a translator reads them, and how a translation is put back.

    <p>{{ row.name }} may use <a href="{% url 'machine' row.pk %}">{{ row.machine }}</a>.</p>

holds one, "{name} may use <a1>{machine}</a1>.": what a program fills in has a name, an element with attributes has a
number, and a translation may move both. Attributes that people read, and texts handed to filters and includes, are
sentences of their own. A block tag such as {% if %} ends a sentence, so what stands around it goes along as a comment.
"""

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal, assert_never

from shopsafe.language.pieces import Cut, Piece, cut

# Elements inside a sentence. Every other element ends it.
INLINE = {
    "a",
    "abbr",
    "b",
    "bdi",
    "code",
    "em",
    "i",
    "kbd",
    "mark",
    "q",
    "small",
    "span",
    "strong",
    "sub",
    "sup",
    "time",
}
# Tags that stand for a value inside a sentence. Every other tag ends it.
VALUES = {"mark", "pictogram", "static", "url"}
DRAWN = {"mark", "pictogram"}
# Attributes that are read or heard. The last six are shown by a style sheet or said by a script.
READ = (
    "title|aria-label|aria-description|aria-valuetext|alt|placeholder"
    "|data-failed|data-half|data-head|data-label|data-open|data-placed"
)
ATTRIBUTE = re.compile(rf'\s(?:{READ})\s*=\s*"([^"]*)"')
# Filters that are handed a text which is shown, and the names of such texts in {% include %} and {% with %}.
TEXT_IN_FILTER = re.compile(r"""\|\s*(?:default|default_if_none|join)\s*:\s*(["'])(.*?)\1""")
TEXT_IN_TAG = re.compile(r"""\b(?:heading|label|what)=(["'])(.*?)\1""")
PLURAL = re.compile(r"""^\{\{\s*(.+?)\|pluralize(?::\s*(["'])(.*?)\2)?\s*\}\}$""")
EXPRESSION = re.compile(r"\{\{\s*([\w.]+)")
FOR_A_SCRIPT = re.compile(r"\{(\w+)\}")
# What is in these is no running text.
AS_TYPED = {"code", "pre", "script", "style", "textarea"}
PLACE = re.compile(r"\{(\w+)\}|<(/?)([a-z]+\d+)>")
# A name that says little without the one before it: `section.name`.
SAYS_LITTLE = {"name", "pk", "id", "number", "label", "text", "says", "first", "last"}


@dataclass(frozen=True)
class Message:
    """A sentence as a translator reads it; with `plural`, its form for all counts but one."""

    text: str
    plural: str = ""


@dataclass(frozen=True)
class Sentence:
    """A message at `source[start:end]`, and which part of the source stands for each of its places.

    `count` is the expression that chooses the form of a message with a plural.
    """

    start: int
    end: int
    message: Message
    parts: dict[str, tuple[int, int]] = field(default_factory=dict)
    count: str = ""
    where: Literal["text", "attribute", "argument"] = "text"  # an argument is one of a filter or tag
    inside: tuple["Sentence", ...] = ()


type Translate = Callable[[Message], Sequence[str] | None]


def sentences(source: str) -> list[Sentence]:
    """The sentences of a template, in their order; those inside a part of another are in its `inside`."""
    template = cut(source)
    small = sorted([*_arguments(template), *_attributes(template)], key=lambda each: (each.start, -each.end))
    large = [sentence for run in _runs(template) if (sentence := _sentence(template, run))]
    return _nested(sorted([*small, *large], key=lambda each: (each.start, -each.end)))


def exchanged(source: str, translate: Translate) -> str:
    """The template with its sentences exchanged. `translate` gives the form, or the forms in the order in which
    {% counted_form %} counts them, or None to leave a sentence as it is written."""
    return _exchanged(source, sentences(source), translate, 0, len(source))


def isolated(source: str) -> str:
    """The template with what it fills in kept apart from the words around it, for a language from right to left: there
    "Inga V." beside other words would else become ".Inga V"."""
    template, parts, at, unread = cut(source), list[str](), 0, ""
    for piece in template.pieces:
        if piece.kind in ("open", "close") and piece.name in AS_TYPED:
            unread = piece.name if piece.kind == "open" else ""
        elif piece.kind == "value" and not unread and "|pluralize" not in source[piece.start : piece.end]:
            parts += [source[at : piece.end - 2].rstrip(), "|isolated }}"]
            at = piece.end
    return "".join([*parts, source[at:]])


def _exchanged(source: str, all_of: Sequence[Sentence], translate: Translate, start: int, end: int) -> str:
    parts, at = [], start
    for sentence in all_of:
        if sentence.start < start or sentence.end > end:
            continue
        parts.append(source[at : sentence.start])
        forms = translate(sentence.message)
        if forms is None:
            parts.append(_exchanged(source, sentence.inside, translate, sentence.start, sentence.end))
        else:
            parts.append(_filled(source, sentence, forms, translate))
        at = sentence.end
    return "".join([*parts, source[at:end]])


def _filled(source: str, sentence: Sentence, forms: Sequence[str], translate: Translate) -> str:
    def part(match: re.Match[str]) -> str:
        name = match[1] or match[2] + match[3]
        place = sentence.parts.get(name)
        return _exchanged(source, sentence.inside, translate, *place) if place else match[0]

    if sentence.where == "argument":
        return _quoted(forms[0]).replace("'", "’")  # a template may hand it over between either sort of quotation marks
    if sentence.where == "attribute":
        forms = [form.replace('"', "&quot;") for form in forms]
    filled = [PLACE.sub(part, form) for form in forms]
    if not sentence.count:
        return filled[0]
    singular, plural = (_quoted(text) for text in (sentence.message.text, sentence.message.plural))
    begin = f'{{% counted_form {sentence.count} "{singular}" "{plural}" %}}'
    return begin + "{% form %}".join(filled) + "{% endcounted_form %}"


def _quoted(text: str) -> str:
    """As it is between quotation marks in a tag."""
    return text.replace("\\", "\\\\").replace('"', '\\"')


def _nested(in_order: Sequence[Sentence]) -> list[Sentence]:
    """Each sentence with those that stand inside it."""
    outer, at = list[Sentence](), 0
    while at < len(in_order):
        sentence, end = in_order[at], at + 1
        while end < len(in_order) and in_order[end].start < sentence.end:
            end += 1
        outer.append(replace(sentence, inside=tuple(_nested(in_order[at + 1 : end]))))
        at = end
    return outer


def _has_letters(text: str) -> bool:
    return any(letter.isalpha() for letter in re.sub(r"&\w+;", "", text))


# Texts in braces, and attributes


def _arguments(template: Cut) -> Iterator[Sentence]:
    for piece in template.in_braces:
        pattern = {"value": TEXT_IN_FILTER, "tag": TEXT_IN_TAG}.get(piece.kind)
        if pattern is None or (piece.kind == "tag" and piece.name not in ("include", "with")):
            continue
        for match in pattern.finditer(template.source[piece.start : piece.end]):
            text = match[2].strip()
            if _has_letters(text):
                start = piece.start + match.start(2) + match[2].index(text)
                yield Sentence(start, start + len(text), Message(text), where="argument")


def _attributes(template: Cut) -> Iterator[Sentence]:
    for element in template.pieces:
        if element.kind not in ("open", "void"):
            continue
        for match in ATTRIBUTE.finditer(template.opaque[element.start : element.end]):
            start, end = (element.start + place for place in match.span(1))
            pieces = _pieces_of_attribute(template, start, end)
            for run in _split(pieces, lambda piece: not _goes_on(piece)):
                if sentence := _sentence(template, _trimmed(template, run)):
                    yield replace(sentence, where="attribute")


def _pieces_of_attribute(template: Cut, start: int, end: int) -> Iterator[Piece]:
    at = start
    for piece in template.in_braces_between(start, end):
        if piece.start > at:
            yield Piece("text", at, piece.start)
        yield piece
        at = piece.end
    if end > at:
        yield Piece("text", at, end)


# Runs of pieces that make a sentence


def _goes_on(piece: Piece) -> bool:
    match piece.kind:
        case "open" | "close":
            return piece.name in INLINE
        case "tag":
            return piece.name in VALUES
        case "text" | "value":
            return True
        case "void" | "aside":
            return False
    assert_never(piece.kind)


def _split(pieces: Iterator[Piece] | Sequence[Piece], at: Callable[[Piece], bool]) -> Iterator[list[Piece]]:
    run: list[Piece] = []
    for piece in pieces:
        if at(piece):
            yield run
            run = []
        else:
            run.append(piece)
    yield run


def _runs(template: Cut) -> Iterator[list[Piece]]:
    """Pieces that belong together: whole elements, and text beside them."""
    for rough in _split(list(_translatable(template)), lambda piece: not _goes_on(piece)):
        lonely = _without_partner(rough)
        for run in _split(rough, lonely.__contains__):
            yield from _apart(template, run)


def _translatable(template: Cut) -> Iterator[Piece]:
    """The pieces without what is in an element that says translate="no", such as letters that a font makes a mark
    of. Such an element ends a sentence."""
    inside, depth = "", 0
    for piece in template.pieces:
        if not inside and piece.kind == "open" and 'translate="no"' in template.source[piece.start : piece.end]:
            inside = piece.name
        if not inside:
            yield piece
            continue
        depth += {"open": 1, "close": -1}.get(piece.kind, 0) if piece.name == inside else 0
        if not depth:
            inside = ""
            yield Piece("aside", piece.start, piece.end)


def _without_partner(run: Sequence[Piece]) -> set[Piece]:
    """Beginnings and ends of elements whose other half stands outside of this run, across an {% if %}."""
    lonely, opened = set[Piece](), list[Piece]()
    for piece in run:
        if piece.kind == "open":
            opened.append(piece)
        elif piece.kind == "close":
            if opened and opened[-1].name == piece.name:
                opened.pop()
            else:
                lonely.add(piece)
    return lonely | set(opened)


def _apart(template: Cut, run: Sequence[Piece]) -> Iterator[list[Piece]]:
    """Elements with no words between them, such as a label before its value, are sentences of their own."""
    run = _trimmed(template, run)
    tops = list(_tops(run))
    beside = [(top[0].kind, template.source[top[0].start : top[0].end]) for top in tops if top[0].kind != "open"]
    says_words = any(PLURAL.match(text) or (kind == "text" and _has_letters(text)) for kind, text in beside)
    if says_words or len(beside) == len(tops):
        yield run
        return
    for top in tops:
        if top[0].kind == "open":
            yield from _apart(template, top[1:-1])


def _tops(run: Sequence[Piece]) -> Iterator[list[Piece]]:
    """Each piece of a run, and each element with all it holds."""
    depth, top = 0, list[Piece]()
    for piece in run:
        top.append(piece)
        depth += {"open": 1, "close": -1}.get(piece.kind, 0)
        if depth == 0:
            yield top
            top = []


def _trimmed(template: Cut, run: Sequence[Piece]) -> list[Piece]:
    """Without white space and drawings around it."""

    def is_blank(piece: Piece) -> bool:
        drawn = piece.kind == "tag" and piece.name in DRAWN
        return drawn or (piece.kind == "text" and template.source[piece.start : piece.end].isspace())

    start, end = 0, len(run)
    while start < end and is_blank(run[start]):
        start += 1
    while end > start and is_blank(run[end - 1]):
        end -= 1
    return list(run[start:end])


# From a run to a message


class _Writer:
    """Writes down a run as a translator reads it, and what each of its places stands for."""

    def __init__(self, template: Cut, run: Sequence[Piece]) -> None:
        self.source = template.source
        self.run = run
        self.count = ""
        self.singular, self.plural = list[str](), list[str]()
        text = " ".join(self.source[piece.start : piece.end] for piece in run if piece.kind == "text")
        self.parts: dict[str, tuple[int, int]] = {}
        self.taken = {name: f"{{{name}}}" for name in FOR_A_SCRIPT.findall(text)}  # a script fills these in
        self.opened: list[str] = []
        for piece in run:
            self._write(piece)

    def _write(self, piece: Piece) -> None:
        source = self.source[piece.start : piece.end]
        match piece.kind:
            case "text":
                self._add(source)
            case "value" if (plural := PLURAL.match(source)) and self.count in ("", plural[1]):
                self.count = plural[1]
                ending, _comma, plural_ending = ("", ",", "s") if plural[3] is None else plural[3].rpartition(",")
                self._add(ending, plural_ending)
            case "value" | "tag":
                self._add(f"{{{self._place(self._name(piece, source), source, piece)}}}")
            case "open":
                self.opened.append(self._element(piece, source))
                self._add(f"<{self.opened[-1]}>")
            case "close":
                name = self.opened.pop()
                self._add(f"</{name}>")
                if name in self.parts:
                    self.parts[f"/{name}"] = (piece.start, piece.end)
            case "void" | "aside":
                raise ValueError(f"no sentence holds a piece {piece.kind}")
            case _:
                assert_never(piece.kind)

    def _add(self, singular: str, plural: str | None = None) -> None:
        self.singular.append(singular)
        self.plural.append(singular if plural is None else plural)

    def _place(self, name: str, source: str, piece: Piece) -> str:
        """The name, or that name with a number where it stands for something else already."""
        number, free = 1, name
        while self.taken.get(free, source) != source:
            number += 1
            free = f"{name}_{number}"
        self.taken[free] = source
        self.parts.setdefault(free, (piece.start, piece.end))
        return free

    def _name(self, piece: Piece, source: str) -> str:
        if piece.kind == "tag":
            return piece.name
        match = EXPRESSION.match(source)
        words = [word for word in match[1].split(".") if not word.isdigit()] if match else ["value"]
        return "_".join(words[-2:] if words[-1] in SAYS_LITTLE else words[-1:])

    def _element(self, piece: Piece, source: str) -> str:
        if source == f"<{piece.name}>":
            return piece.name
        number = sum(name[0] != "/" and name.startswith(piece.name) for name in self.parts) + 1
        self.parts[f"{piece.name}{number}"] = (piece.start, piece.end)
        return f"{piece.name}{number}"


def _sentence(template: Cut, run: Sequence[Piece]) -> Sentence | None:
    """The sentence of a run without white space around it; None where it says nothing."""
    if not run:
        return None
    first, last = run[0], run[-1]
    start, end = first.start, last.end
    if first.kind == "text":
        start += len(template.source[start : first.end]) - len(template.source[start : first.end].lstrip())
    if last.kind == "text":
        end -= len(template.source[last.start : end]) - len(template.source[last.start : end].rstrip())
    written = _Writer(template, [Piece(p.kind, max(p.start, start), min(p.end, end), p.name) for p in run])
    singular, plural = (" ".join("".join(form).split()) for form in (written.singular, written.plural))
    if not _has_letters(PLACE.sub("", re.sub(r"</?[a-z]+>", "", singular + plural))):
        return None
    message = Message(singular, plural if written.count else "")
    return Sentence(start, end, message, written.parts, written.count)
