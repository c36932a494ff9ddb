"""Pictures as they come in: drawn again, small, upright, nothing of the file kept; hostile files get a sentence."""

import zlib
from io import BytesIO
from pathlib import Path
from struct import pack

import pytest
from django.conf import settings
from PIL import Image, ImageFile

from quizzes.banks.pictures.files import LARGEST_SIDE, MOST_BYTES, NoPicture, photo, sent_picture


def file(kind: str = "JPEG", size: tuple[int, int] = (60, 40), mode: str = "RGB", **more: object) -> bytes:
    content = BytesIO()
    Image.new(mode, size).save(content, kind, **more)  # type: ignore[arg-type]
    return content.getvalue()


def chunk(name: bytes, data: bytes) -> bytes:
    return pack(">I", len(data)) + name + data + pack(">I", zlib.crc32(name + data))


def huge_png(side: int) -> bytes:
    """A few bytes that say they are so many pixels square."""
    header = chunk(b"IHDR", pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + header + chunk(b"IDAT", zlib.compress(b"\x00" * 100)) + chunk(b"IEND", b"")


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "WEBP"])
def test_it_comes_out_as_webp_under_its_digest(kind: str) -> None:
    name, facts, anew = photo(file(kind))
    assert Image.open(BytesIO(anew)).format == "WEBP"
    assert (facts.kind, facts.width, facts.height) == ("webp", 480, 320)
    assert name == f"p-{facts.digest[:12]}.webp"


def test_where_and_when_it_was_taken_is_gone_and_it_stands_upright() -> None:
    exif = Image.Exif()
    exif[0x010F], exif[0x0112] = "A telling maker", 6  # turned by a quarter
    _, facts, anew = photo(file("JPEG", exif=exif))
    assert (facts.width, facts.height) == (480, 720)
    assert not Image.open(BytesIO(anew)).getexif()
    assert b"telling" not in anew


def test_data_after_the_picture_is_removed() -> None:
    _, _, anew = photo(file("PNG") + b"<script>alert(1)</script>")
    assert b"script" not in anew


def test_a_large_one_is_made_smaller() -> None:
    _, _, anew = photo(file("PNG", (3000, 1500), "L"))
    assert Image.open(BytesIO(anew)).size == (LARGEST_SIDE, LARGEST_SIDE // 2)


@pytest.mark.parametrize("mode", ["1", "L", "P", "LA", "RGBA", "I;16"])
def test_every_way_to_keep_colours_is_read(mode: str) -> None:
    assert photo(file("PNG", mode=mode))[1].kind == "webp"


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "cannot be read"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>", "cannot be read"),
        (b"GIF89a\x01\x00\x01\x00\x00\x00\x00;", "cannot be read"),
        (b"%PDF-1.7", "cannot be read"),
        (file("PNG")[:60], "broken"),
        (file("JPEG")[:-30], "broken"),
        (huge_png(60_000), "16 million"),
        (huge_png(10_000), "16 million"),
        (huge_png(5_000), "16 million"),
        (b"\x89PNG\r\n\x1a\n" + b"x" * MOST_BYTES, "5 MB"),
    ],
    ids=["empty", "svg", "gif", "pdf", "cut png", "cut jpeg", "huge", "very large", "large", "heavy"],
)
@pytest.mark.parametrize("forgiving", [False, True])
def test_a_hostile_file_gets_a_sentence(
    content: bytes, said: str, forgiving: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Also where another library allowed Pillow to take files that are cut short."""
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", forgiving)
    with pytest.raises(NoPicture, match=said):
        photo(content)


# ---- pictures of bank files -----------------------------------------------------------------------------------------

HEAD = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 480 360">'


@pytest.mark.parametrize("path", sorted((Path(settings.SHELF) / "pictures").glob("*.svg")), ids=lambda path: path.stem)
def test_the_drawings_of_the_shelf_stay_as_they_are(path: Path) -> None:
    content = path.read_bytes()
    assert sent_picture(path.name, content)[::2] == (path.name, content)


@pytest.mark.parametrize(
    "inside",
    [
        b"<script>alert(1)</script>",
        b"<foreignObject/>",
        b"<style>@import 'x'</style>",
        b'<image href="https://elsewhere.example/a.png"/>',
        b'<path onload="alert(1)"/>',
        b'<use href="https://elsewhere.example/a.svg#a"/>',
        b'<path fill="url(https://elsewhere.example/a)"/>',
        b"<path style=\"fill: url('//elsewhere.example')\"/>",
        b'<a xmlns:x="http://www.w3.org/1999/xlink" x:href="javascript:alert(1)"/>',
        b"<path",
        b"<![CDATA[x]]>",
    ],
)
def test_a_drawing_with_more_than_shapes_is_refused(inside: bytes) -> None:
    with pytest.raises(NoPicture, match="plain shapes"):
        sent_picture("a.svg", HEAD + inside + b"</svg>")


@pytest.mark.parametrize(
    "content",
    [
        b'<!DOCTYPE svg [<!ENTITY a "aaaa">]>' + HEAD + b"&a;</svg>",
        b'<?xml version="1.0" encoding="utf-7"?>' + HEAD + b"</svg>",
        (HEAD + b"</svg>").decode().encode("utf-16"),
        HEAD + b"<path/>" * 100_000 + b"</svg>",
        b"",
    ],
    ids=["entity", "declared", "utf-16", "heavy", "empty"],
)
def test_a_drawing_that_hides_something_is_refused(content: bytes) -> None:
    with pytest.raises(NoPicture):
        sent_picture("a.svg", content)


def test_redrawn_photo_stays_unchanged() -> None:
    name, facts, anew = photo(file("JPEG", (900, 600)))
    assert sent_picture(name, anew) == (name, facts, anew)
    assert sent_picture("vice.webp", anew) == ("vice.webp", facts, anew)


def test_uploaded_photo_is_redrawn_and_named_by_its_digest() -> None:
    exif = Image.Exif()
    exif[0x010F] = "A telling maker"
    for content in (file("PNG"), file("WEBP", exif=exif), photo(file("PNG"))[2] + b"<script>"):
        name, facts, anew = sent_picture("vice.webp", content)
        assert name == f"p-{facts.digest[:12]}.webp"
        assert b"telling" not in anew
        assert b"script" not in anew
