"""Pictures of banks: what kind a file is and how large, in the units its callouts are told in."""

import re
import warnings
from hashlib import sha256
from io import BytesIO

from PIL import Image, ImageOps, UnidentifiedImageError

from quizzes.facts import BankText, Picture, Spot

VIEW_BOX = re.compile(rb'<svg[^>]*?\bviewBox="0 0 (\d+(?:\.\d+)?) (\d+(?:\.\d+)?)"', re.DOTALL)


MOST_BYTES = 5 * 1024 * 1024
MOST_PIXELS = 20_000_000
TOO_MANY = "The picture has more than 20 million pixels. Make it smaller."
KINDS = ("PNG", "JPEG", "WEBP")
UNITS_WIDE = 480  # as wide as our drawings: letters on a photo come out as large as on a drawing
LARGEST_SIDE = 1600  # pixels kept of a photo: sharp on a screen, and small enough for a class on one network
QUALITY = 82


class NoPicture(ValueError):
    """The file can't be shown; the message says what to do."""


def drawing(name: str, content: bytes) -> Picture:
    """The facts of a drawing from the shelf (SVG, drawn by us). Raises NoPicture."""
    found = VIEW_BOX.search(content)
    if not name.endswith(".svg") or found is None:
        raise NoPicture(f'{name} is no drawing with viewBox="0 0 width height". Draw it as SVG.')
    width, height = (round(float(side)) for side in found.groups())
    return Picture(digest=sha256(content).hexdigest(), kind="svg", width=width, height=height)


def names_in(bank: BankText) -> list[str]:
    """The pictures that a bank's text calls by name."""
    rules = {rule.picture for rule in bank.rules if rule.picture}
    return sorted(rules | {question.picture for question in bank.questions if isinstance(question, Spot)})


def photo(content: bytes) -> tuple[str, Picture, bytes]:
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
    return f"p-{digest[:12]}.webp", Picture(digest=digest, kind="webp", width=UNITS_WIDE, height=height), anew


def _opened(content: bytes) -> Image.Image:
    """The picture upright, in plain colours. Its size is read and judged before a single pixel is."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(BytesIO(content), formats=KINDS) as found:
                if found.width * found.height > MOST_PIXELS:
                    raise NoPicture(TOO_MANY)
                found.seek(0)
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


def _see_through(image: Image.Image) -> bool:
    return image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info
