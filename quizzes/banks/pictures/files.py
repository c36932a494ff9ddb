"""Pictures of banks: what kind a file is and how large, in the units its callouts are told in."""

import re
import warnings
from dataclasses import replace
from hashlib import sha256
from io import BytesIO
from xml.etree import ElementTree

from PIL import Image, ImageFile, ImageOps, UnidentifiedImageError

from quizzes.facts import BankPicture, BankText, Spot

VIEW_BOX = re.compile(rb'<svg[^>]*?\bviewBox="0 0 (\d+(?:\.\d+)?) (\d+(?:\.\d+)?)"', re.DOTALL)


MOST_BYTES = 5 * 1024 * 1024
MOST_PIXELS = 20_000_000
TOO_MANY = "The picture has more than 20 million pixels. Make it smaller."
SVG = "{http://www.w3.org/2000/svg}"
KINDS = ("PNG", "JPEG", "WEBP")
UNITS_WIDE = 480  # as wide as our drawings: letters on a photo come out as large as on a drawing
LARGEST_SIDE = 1600  # pixels kept of a photo: sharp on a screen, and small enough for a class on one network
QUALITY = 82
MOST_KEPT = 2_500_000  # bytes of a photo drawn anew elsewhere; a print takes no more


class NoPicture(ValueError):
    """The file can't be shown; the message says what to do."""


def drawing(name: str, content: bytes) -> BankPicture:
    """The facts of a drawing from the shelf (SVG, drawn by us). Raises NoPicture."""
    found = VIEW_BOX.search(content)
    if not name.endswith(".svg") or found is None:
        raise NoPicture(f'{name} is no drawing with viewBox="0 0 width height". Draw it as SVG.')
    width, height = (round(float(side)) for side in found.groups())
    return BankPicture(digest=sha256(content).hexdigest(), kind="svg", width=width, height=height)


DRAWN = (
    frozenset({"svg", "g", "path", "rect", "circle", "ellipse", "line", "polyline", "polygon", "text", "tspan"})
    | frozenset({"title", "desc", "defs", "use", "clipPath", "mask", "linearGradient", "radialGradient", "stop"})
    | frozenset({"pattern", "marker", "symbol"})
)
MOST_OF_A_DRAWING = 500_000  # bytes
DECLARED = re.compile(rb"<\?xml[^>]*encoding=[\"'](?!utf-8)", re.IGNORECASE)


def sent_picture(name: str, content: bytes) -> tuple[str, BankPicture, bytes]:
    """(name, facts, bytes) of a picture that came in a bank file. Raises NoPicture.

    A drawing of plain shapes, and a photo that was drawn anew here or by another shopsafe, stay as they are, so that a
    bank comes out as it went in. Every other photo is drawn anew and gets the name of its digest.
    """
    if name.endswith(".svg"):
        if len(content) > MOST_OF_A_DRAWING or not _plain_shapes(content):
            raise NoPicture("The drawing holds more than plain shapes. Save it without scripts and links.")
        return name, drawing(name, content), content
    own, facts, anew = photo(content)
    small = len(content) <= MOST_KEPT and max(_size(content)) <= LARGEST_SIDE
    if name.endswith(".webp") and small and _bare_webp(content):
        return name, replace(facts, digest=sha256(content).hexdigest()), content
    return own, facts, anew


def _plain_shapes(content: bytes) -> bool:
    """Shapes and words alone: no script, no link to anywhere else, no declaration that could grow or hide something."""
    if b"<!" in re.sub(rb"<!--.*?-->", b"", content, flags=re.DOTALL) or DECLARED.search(content):
        return False
    try:
        root = ElementTree.fromstring(content.decode())  # noqa: S314  no document type, so no entity to grow
    except (ElementTree.ParseError, UnicodeDecodeError, ValueError):
        return False
    return all(_plain_shape(element) for element in root.iter())


def _plain_shape(element: ElementTree.Element) -> bool:
    if element.tag.removeprefix(SVG) not in DRAWN:
        return False
    for key, text in element.attrib.items():
        name = key.rpartition("}")[2].casefold()
        if name.startswith("on") or (name == "href" and not text.startswith("#")):
            return False
        if re.search(r"(url\s*\((?!\s*['\"]?#))|javascript:|@import", text, re.IGNORECASE):
            return False
    return True


def _bare_webp(content: bytes) -> bool:
    """One WebP picture from the first byte to the last, with nothing else in its file: no place, no maker, no tail."""
    if content[:4] != b"RIFF" or content[8:12] != b"WEBP" or int.from_bytes(content[4:8], "little") + 8 != len(content):
        return False
    at, chunks = 12, []
    while at + 8 <= len(content):
        chunks.append(content[at : at + 4])
        size = int.from_bytes(content[at + 4 : at + 8], "little")
        at += 8 + size + size % 2
    return at == len(content) and chunks in ([b"VP8 "], [b"VP8L"], [b"VP8X", b"ALPH", b"VP8 "])


def _size(content: bytes) -> tuple[int, int]:
    with Image.open(BytesIO(content), formats=KINDS) as found:
        return found.size


def picture_names(bank: BankText) -> list[str]:
    """The pictures that a bank's text calls by name."""
    rules = {rule.picture for rule in bank.rules if rule.picture}
    return sorted(rules | {question.picture for question in bank.questions if isinstance(question, Spot)})


def photo(content: bytes) -> tuple[str, BankPicture, bytes]:
    """(name, facts, bytes) of a PNG, JPEG or WebP, drawn anew as WebP: nothing of the file itself is kept.

    Where and when it was taken, colour tables and whatever else travels in a picture file is gone. The name is its
    digest and says nothing of what it shows. Raises NoPicture.
    """
    if len(content) > MOST_BYTES:
        raise NoPicture("The picture is larger than 5 MB. Make it smaller, or take it at a lower setting.")
    image = _opened(content)
    image.thumbnail((LARGEST_SIDE, LARGEST_SIDE), Image.Resampling.LANCZOS)
    drawn = BytesIO()
    image.save(drawn, "WEBP", quality=QUALITY, method=4)
    anew = drawn.getvalue()
    digest = sha256(anew).hexdigest()
    height = max(1, round(image.height * UNITS_WIDE / image.width))
    return f"p-{digest[:12]}.webp", BankPicture(digest=digest, kind="webp", width=UNITS_WIDE, height=height), anew


def _opened(content: bytes) -> Image.Image:
    """The picture upright, in plain colours. Its size is read and judged before a single pixel is."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(BytesIO(content), formats=KINDS) as found:
                if found.width * found.height > MOST_PIXELS:
                    raise NoPicture(TOO_MANY)
                found.seek(0)
                _load_whole(found)
                upright = ImageOps.exif_transpose(found)
                return upright.convert("RGBA" if _see_through(upright) else "RGB")
    except NoPicture:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise NoPicture(TOO_MANY) from error
    except UnidentifiedImageError as error:
        raise NoPicture("This is no picture we can read. Send a PNG, a JPEG or a WebP.") from error
    except (OSError, ValueError, SyntaxError, EOFError, MemoryError) as error:
        raise NoPicture("The picture is broken. Save it anew, then send it again.") from error


def _load_whole(image: Image.Image) -> None:
    """Raises OSError for a file cut short, which WeasyPrint, once loaded, tells Pillow to fill up with grey."""
    forgiving, ImageFile.LOAD_TRUNCATED_IMAGES = ImageFile.LOAD_TRUNCATED_IMAGES, False
    try:
        image.load()
    finally:
        ImageFile.LOAD_TRUNCATED_IMAGES = forgiving


def _see_through(image: Image.Image) -> bool:
    return image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info
