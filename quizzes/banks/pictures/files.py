"""Pictures of banks: what kind a file is and how large, in the units its callouts use."""

import warnings
from dataclasses import replace
from hashlib import sha256
from io import BytesIO

from PIL import Image, ImageFile, ImageOps, UnidentifiedImageError

from quizzes.banks.pictures.drawings import NotPlain, plain_size
from quizzes.facts import BankPicture, BankText, Spot
from shopsafe.language.messages import _, marked

MOST_BYTES = 5 * 1024 * 1024
MOST_PIXELS = 16_000_000  # its pixels, and the smaller picture made of them, stay under 300 MB
MOST_OF_WEBP = 8_000_000  # its decoder holds four copies of a picture
MOST_PASSES = 400_000_000  # pixels, each counted once for every pass in which a JPEG draws them
TOO_MANY = marked("The picture has more than 16 million pixels. Make it smaller.")
KINDS = ("PNG", "JPEG", "WEBP")
UNITS_WIDE = 480  # as wide as our drawings: letters on a photo come out as large as on a drawing
LARGEST_SIDE = 1600  # pixels kept of a photo: sharp on a screen, and small enough for a class on one network
QUALITY = 82
ORIENTATION = 0x0112  # the tag of Exif that says which side is up
MOST_KEPT = 2_500_000  # bytes of a photo drawn again elsewhere; a print takes no more


class NoPicture(ValueError):
    """The file can't be shown; the message says what to do."""


def drawing(name: str, content: bytes) -> BankPicture:
    """The facts of a drawing: SVG of plain shapes and words. Raises NoPicture."""
    try:
        width, height = (max(1, round(side)) for side in plain_size(content))
    except NotPlain as error:
        raise NoPicture(_("The drawing {name} can't be used. {error}", name=name, error=error)) from error
    return BankPicture(digest=sha256(content).hexdigest(), kind="svg", width=width, height=height)


def sent_picture(name: str, content: bytes) -> tuple[str, BankPicture, bytes]:
    """(name, facts, bytes) of a picture that came in a bank file. Raises NoPicture.

    A drawing of plain shapes, and a photo that was drawn again here or by another shopsafe, stay as they are, so that a
    bank comes out as it went in. Every other photo is drawn again and gets the name of its digest.
    """
    if name.endswith(".svg"):
        return name, drawing(name, content), content
    own, facts, anew = photo(content)
    small = len(content) <= MOST_KEPT and max(_size(content)) <= LARGEST_SIDE
    if name.endswith(".webp") and small and _bare_webp(content):
        return name, replace(facts, digest=sha256(content).hexdigest()), content
    return own, facts, anew


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
    with Image.open(BytesIO(content), formats=KINDS) as image:
        return image.size


def picture_names(bank: BankText) -> list[str]:
    """The pictures that a bank's text calls by name."""
    rules = {rule.picture for rule in bank.rules if rule.picture}
    return sorted(rules | {question.picture for question in bank.questions if isinstance(question, Spot)})


def photo(content: bytes) -> tuple[str, BankPicture, bytes]:
    """(name, facts, bytes) of a PNG, JPEG or WebP, drawn again as WebP: nothing of the file itself is kept.

    Where and when it was taken, color tables and whatever else travels in a picture file is gone. The name is its
    digest and says nothing of what it shows. Raises NoPicture.
    """
    if len(content) > MOST_BYTES:
        raise NoPicture(_("The picture is larger than 5 MB. Make it smaller, or take it at a lower setting."))
    image = _opened(content)
    buffer = BytesIO()
    image.save(buffer, "WEBP", quality=QUALITY, method=4)
    anew = buffer.getvalue()
    digest = sha256(anew).hexdigest()
    height = max(1, round(image.height * UNITS_WIDE / image.width))
    return f"p-{digest[:12]}.webp", BankPicture(digest=digest, kind="webp", width=UNITS_WIDE, height=height), anew


def _opened(content: bytes) -> Image.Image:
    """The picture upright, small, in plain colors. Its size is read and judged before a single pixel is."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(BytesIO(content), formats=KINDS) as image:
                _check_size(image, content)
                image.seek(0)
                image.draft(None, (LARGEST_SIDE, LARGEST_SIDE))  # a JPEG is decoded no larger than needed
                _load_whole(image)
                return _small(image)
    except NoPicture:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise NoPicture(_(TOO_MANY)) from error
    except UnidentifiedImageError as error:
        raise NoPicture(_("This picture cannot be read. Send a PNG, a JPEG or a WebP.")) from error
    except (OSError, ValueError, SyntaxError, EOFError, MemoryError) as error:
        raise NoPicture(_("The picture is broken. Save it again, then send it again.")) from error


def _check_size(image: ImageFile.ImageFile, content: bytes) -> None:
    pixels = image.width * image.height
    if pixels > MOST_PIXELS:
        raise NoPicture(_(TOO_MANY))
    if image.format == "WEBP" and pixels > MOST_OF_WEBP:
        raise NoPicture(_("The picture has more than 8 million pixels. Make it smaller, or save it as a JPEG."))
    if image.format == "JPEG" and pixels * content.count(b"\xff\xda") > MOST_PASSES:
        raise NoPicture(_("The picture is drawn in too many passes. Save it as a JPEG that is not progressive."))


def _small(image: Image.Image) -> Image.Image:
    """Made smaller first where its mode can be: every further step then takes a copy of a small picture."""
    see_through = _see_through(image)
    orientation = image.getexif().get(ORIENTATION, 1)
    if image.mode not in ("L", "RGB", "RGBA", "CMYK") or (see_through and image.mode != "RGBA"):
        image = image.convert("RGBA" if see_through else "RGB")
    image.thumbnail((LARGEST_SIDE, LARGEST_SIDE), Image.Resampling.LANCZOS)
    image.getexif()[ORIENTATION] = orientation  # `convert` may have lost it
    return ImageOps.exif_transpose(image).convert("RGBA" if see_through else "RGB")


def _load_whole(image: Image.Image) -> None:
    """Raises OSError for a file cut short, which WeasyPrint, once loaded, tells Pillow to fill up with gray."""
    forgiving, ImageFile.LOAD_TRUNCATED_IMAGES = ImageFile.LOAD_TRUNCATED_IMAGES, False
    try:
        image.load()
    finally:
        ImageFile.LOAD_TRUNCATED_IMAGES = forgiving


def _see_through(image: Image.Image) -> bool:
    return image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info
