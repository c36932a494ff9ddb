"""Drawings that come in a bank file: SVG of plain shapes and words, held to lists of elements, attributes and values.

Read by the parser's own events: no tree is built, and the reading ends at the first thing that is not on the lists.
"""

import re
from dataclasses import dataclass, field
from xml.parsers import expat  # no document type gets through, so nothing can be declared, fetched or grown

from shopsafe.language.messages import _, marked

SVG = "http://www.w3.org/2000/svg"
LINK = "http://www.w3.org/1999/xlink href"
MOST_BYTES = 500_000
MOST_DEPTH = 40
MOST_ELEMENTS = 20_000
MOST_DRAWN = 200_000  # elements once every `use`, pattern and marker is drawn
LONGEST_SIDE = 20_000  # of the view box
PLAIN = marked("Save it as SVG of plain shapes, without scripts, styles, pictures and links.")
TOO_MUCH = marked("It draws more than {number} shapes. Use a simpler drawing.")
ELEMENTS = (
    frozenset({"svg", "g", "path", "rect", "circle", "ellipse", "line", "polyline", "polygon", "text", "tspan"})
    | frozenset({"title", "desc", "defs", "use", "clipPath", "mask", "linearGradient", "radialGradient", "stop"})
    | frozenset({"pattern", "marker", "symbol"})
)
_PLACING = "x y x1 y1 x2 y2 cx cy r rx ry fx fy dx dy width height d points transform offset rotate pathLength"
_LOOK = (
    "fill fill-opacity fill-rule stroke stroke-width stroke-opacity stroke-linecap stroke-linejoin stroke-miterlimit "
    "stroke-dasharray stroke-dashoffset opacity color stop-color stop-opacity clip-path clip-rule mask display "
    "visibility marker-start marker-mid marker-end vector-effect paint-order shape-rendering text-rendering"
)
_TEXT = (
    "font-family font-size font-weight font-style font-stretch font-variant text-anchor letter-spacing word-spacing "
    "textLength lengthAdjust dominant-baseline alignment-baseline baseline-shift writing-mode text-decoration"
)
_KEPT_APART = (
    "id class version viewBox preserveAspectRatio gradientUnits gradientTransform spreadMethod patternUnits "
    "patternContentUnits patternTransform clipPathUnits maskUnits maskContentUnits markerUnits markerWidth "
    "markerHeight refX refY orient role lang"
)
ATTRIBUTES = frozenset(f"{_PLACING} {_LOOK} {_TEXT} {_KEPT_APART}".split())
STYLED = frozenset(f"{_LOOK} {_TEXT}".split())  # what a style attribute may set
_OWN = re.compile(r"url\(\s*(?P<quote>['\"]?)#(?P<id>[A-Za-z][\w.-]{0,80})(?P=quote)\s*\)")
_TARGET = re.compile(r"#([A-Za-z][\w.-]{0,80})")
_SPACE = "http://www.w3.org/XML/1998/namespace "
_NAMED = re.compile(r"[A-Za-z][\w-]{0,40}\Z")
_VALUE = re.compile(r"[\w\s.,#%()+'\"/-]*\Z")
_MORE = re.compile(r"\\|/\*|@|url|image|src|expression|script", re.IGNORECASE)
_VIEW_BOX = re.compile(r"\s*0\s+0\s+(\d{1,5}(?:\.\d{1,6})?)\s+(\d{1,5}(?:\.\d{1,6})?)\s*\Z")


class NotPlain(ValueError):
    """The drawing is refused; the message is a sentence that says why."""


@dataclass
class _Group:
    """An element that stands open: how much it draws by itself, and whose drawing it asks for."""

    kind: str = ""
    name: str = ""
    own: int = 0
    asks: list[str] = field(default_factory=list)


class _Reading:
    """What is known of a drawing while the parser goes through it."""

    def __init__(self, *, markers: bool) -> None:
        self.markers = markers
        self.open: list[_Group] = []
        self.named: dict[str, _Group] = {}
        self.size = (0.0, 0.0)
        self.elements = 0
        self.repeated = 1  # elements of the largest pattern or marker, which any shape may draw
        self.root = _Group()

    def start(self, name: str, attributes: dict[str, str]) -> None:
        space, _blank, element = name.rpartition(" ")
        self.elements += 1
        if space not in ("", SVG) or element not in ELEMENTS:
            raise NotPlain(
                _("The element “{element}” is not a plain shape or text. {plain}", element=element[:40], plain=_(PLAIN))
            )
        if len(self.open) >= MOST_DEPTH:
            raise NotPlain(_("Groups are nested more than {number} deep. Ungroup some of them.", number=MOST_DEPTH))
        if self.elements > MOST_ELEMENTS:
            raise NotPlain(_("It has more than {number} elements. Use a simpler drawing.", number=f"{MOST_ELEMENTS:,}"))
        if not self.open:
            self._begin(element, attributes)
        corners = len(attributes.get("d", "") + attributes.get("points", "")) // 2 if self.markers else 0
        self.open.append(_Group(element, attributes.get("id", ""), 1 + corners))
        for attribute, value in attributes.items():
            self._refer(attribute, _checked(element, attribute, value))

    def _begin(self, element: str, attributes: dict[str, str]) -> None:
        box = _VIEW_BOX.match(attributes.get("viewBox", ""))
        if element != "svg" or box is None:
            raise NotPlain(_('Its first element must be <svg viewBox="0 0 width height">.'))
        self.size = (float(box[1]), float(box[2]))
        if not all(1 <= side <= LONGEST_SIDE for side in self.size):
            raise NotPlain(_("Its view box must be from 1 to {number} on each side.", number=f"{LONGEST_SIDE:,}"))

    def _refer(self, attribute: str, targets: list[str]) -> None:
        if targets and any(group.kind in ("pattern", "marker") for group in self.open):
            raise NotPlain(_("A pattern or marker in it refers to another part. Use plain shapes there."))
        if attribute not in ("fill", "stroke") and not attribute.startswith("marker"):  # see `repeated`
            self.open[-1].asks += targets

    def end(self, _name: str) -> None:
        group = self.open.pop()
        if group.name in self.named:
            raise NotPlain(_("The id “{name}” is in it twice.", name=group.name[:40]))
        if group.name:
            self.named[group.name] = group
        if group.kind in ("pattern", "marker"):
            self.repeated = max(self.repeated, group.own)
        above = self.open[-1] if self.open else self.root
        above.own += group.own
        above.asks += group.asks

    def refused(self, *_parts: object) -> None:
        raise NotPlain(_("It holds a declaration or a processing instruction. {plain}", plain=_(PLAIN)))

    def declared(self, _version: str, encoding: str | None, _alone: int) -> None:
        if (encoding or "utf-8").casefold() not in ("utf-8", "utf8", "us-ascii"):
            raise NotPlain(_("It must be in UTF-8. Save it so."))

    def check_drawn(self) -> None:
        """Raises NotPlain for a circle of references, and for more shapes than a page can draw."""
        if self._drawn(self.root, {}, frozenset()) * self.repeated > MOST_DRAWN:
            raise NotPlain(_(TOO_MUCH, number=f"{MOST_DRAWN:,}"))

    def _drawn(self, group: _Group, known: dict[str, int], inside: frozenset[str]) -> int:
        total = group.own
        for target in group.asks:
            if target in inside or len(inside) > MOST_DEPTH:
                raise NotPlain(_("A part of it refers to itself, or parts refer to each other too deeply."))
            if target not in known:
                part = self.named.get(target)
                known[target] = self._drawn(part, known, inside | {target}) if part else 0
            total += known[target]
        if total > MOST_DRAWN:
            raise NotPlain(_(TOO_MUCH, number=f"{MOST_DRAWN:,}"))
        return total


def plain_size(content: bytes) -> tuple[float, float]:
    """Width and height of the view box of a drawing that is plain shapes and words. Raises NotPlain."""
    if len(content) > MOST_BYTES:
        raise NotPlain(_("It is larger than 500 kB."))
    reading = _Reading(markers=b"marker" in content)
    parser = expat.ParserCreate(encoding="utf-8", namespace_separator=" ")
    parser.StartElementHandler, parser.EndElementHandler = reading.start, reading.end
    parser.StartDoctypeDeclHandler = parser.EntityDeclHandler = parser.ProcessingInstructionHandler = reading.refused
    parser.SkippedEntityHandler = parser.StartCdataSectionHandler = reading.refused
    parser.XmlDeclHandler = reading.declared
    try:
        content.decode("utf-8")
        parser.Parse(content, True)
    except (expat.ExpatError, UnicodeDecodeError) as error:
        raise NotPlain(_("It is not a whole SVG file in UTF-8. {plain}", plain=_(PLAIN))) from error
    reading.check_drawn()
    return reading.size


def _checked(element: str, attribute: str, value: str) -> list[str]:
    """The ids that the attribute refers to. Raises NotPlain for an attribute or a value that is not on the lists."""
    if attribute.startswith(_SPACE):
        return []
    if attribute in ("href", LINK):
        target = _TARGET.fullmatch(value)
        if target is None:
            raise NotPlain(_("It links to something outside the drawing. {plain}", plain=_(PLAIN)))
        return [target[1]]
    if attribute == "style":
        return [target for name, part in _declarations(value) for target in _value(name, part)]
    if attribute not in ATTRIBUTES and not re.fullmatch(r"(?:aria|data)-[a-z-]{1,40}", attribute):
        raise NotPlain(
            _(
                "The attribute “{attribute}” of “{element}” is not allowed. {plain}",
                attribute=attribute[:40],
                element=element,
                plain=_(PLAIN),
            )
        )
    return _value(attribute, value)


def _declarations(style: str) -> list[tuple[str, str]]:
    """The declarations of a style attribute. CSS that needs more than this to read is refused."""
    declarations = []
    for part in style.split(";"):
        name, colon, value = (side.strip() for side in part.partition(":"))
        if not part.strip():
            continue
        if not colon or not _NAMED.match(name) or name not in STYLED:
            raise NotPlain(_("The style “{name}” is not allowed. {plain}", name=name[:40], plain=_(PLAIN)))
        declarations.append((name, value))
    return declarations


def _value(attribute: str, value: str) -> list[str]:
    """The ids in a value. Escapes, comments, rules and addresses have no place in the value of a plain shape."""
    if attribute.startswith(("aria-", "data-")) or attribute in ("id", "class", "role", "lang"):
        return []
    rest = _OWN.sub("", value)
    if _MORE.search(rest) or (attribute in STYLED and not _VALUE.match(rest)):
        raise NotPlain(
            _("The attribute “{attribute}” holds more than a plain value. {plain}", attribute=attribute, plain=_(PLAIN))
        )
    return [reference["id"] for reference in _OWN.finditer(value)]
