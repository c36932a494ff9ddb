"""The hostile files: each with what reads it, and words of the sentence that refuses it."""

import io
import zipfile
import zlib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from struct import pack, pack_into

from PIL import Image

from quizzes.banks.files.rules import zip_file
from quizzes.banks.files.rules.toml_file import write_bank
from tests.factories.bank_texts import a_bank, a_one, a_rule
from tests.rules.rosters.test_hostile import SHEET, repacked, sheet_of, with_part, workbook

DEFLATED, STORED, BZIP2, LZMA = zipfile.ZIP_DEFLATED, zipfile.ZIP_STORED, zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA
SVG = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 480 360">'
CHUNK = 1_000_000


@dataclass(frozen=True)
class Hostile:
    """One file: `reader` is roster, pasted or bank; `said` is in the refusal."""

    reader: str
    said: str
    make: Callable[[], bytes]


def zipped(files: Mapping[str, bytes], how: int = DEFLATED) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", how) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return out.getvalue()


def lying(name: str, megabytes: int, stated: int, files: Mapping[str, bytes] | None = None) -> bytes:
    """A zip with a member from which `megabytes` come out, and which states `stated` bytes and their checksum."""
    deflate = zlib.compressobj(wbits=-zlib.MAX_WBITS)
    piece = deflate.compress(b" " * CHUNK) + deflate.flush(zlib.Z_FULL_FLUSH)  # one piece may follow another
    packed = piece * megabytes + deflate.flush()
    data = bytearray(zipped({**(files or {}), name: packed}, STORED))
    entry = data.rindex(b"PK\x01\x02")
    header = int.from_bytes(data[entry + 42 : entry + 46], "little")
    for method, checksum, size in ((header + 8, header + 14, header + 22), (entry + 10, entry + 16, entry + 24)):
        pack_into("<H", data, method, DEFLATED)
        pack_into("<I", data, checksum, zlib.crc32(b" " * stated))
        pack_into("<I", data, size, stated)
    return bytes(data)


def book_parts() -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(workbook())) as package:
        return {name: package.read(name) for name in package.namelist()}


def shared_text(text: bytes, base: bytes) -> bytes:
    """A workbook whose cells may all show this one text."""
    kind = b"application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"
    override = b'<Override PartName="/xl/sharedStrings.xml" ContentType="' + kind + b'"/></Types>'
    space = b"http://schemas.openxmlformats.org/spreadsheetml/2006/main"

    def share(parts: dict[str, bytes]) -> None:
        types = "[Content_Types].xml"
        parts[types] = parts[types].replace(b"</Types>", override)
        parts["xl/sharedStrings.xml"] = b'<sst xmlns="' + space + b'">' + text + b"</sst>"

    return repacked(share, base)


def without(part: str) -> dict[str, bytes]:
    return {name: content for name, content in book_parts().items() if name != part}


def bank_with(name: str, picture: bytes) -> bytes:
    """A sound bank file whose one picture is this."""
    rule = a_rule(picture=name, picture_alt="A saw.")
    return zip_file.pack("saw", write_bank(a_bank(rules=(rule,), questions=(a_one(),))), {name: picture})


def drawing(inside: bytes, head: bytes = SVG) -> bytes:
    return bank_with("saw.svg", head + inside + b"</svg>")


def uses(doublings: int) -> bytes:
    """2 to the power of `doublings` shapes, in a few lines."""
    groups = [b'<g id="a0"><path d="M0 0h9"/></g>']
    for number in range(1, doublings + 1):
        groups.append(b'<g id="a%d"><use href="#a%d"/><use href="#a%d"/></g>' % (number, number - 1, number - 1))
    return b"<defs>" + b"".join(groups) + b'</defs><use href="#a%d"/>' % doublings


def chunk(name: bytes, data: bytes) -> bytes:
    return pack(">I", len(data)) + name + data + pack(">I", zlib.crc32(name + data))


def png(width: int, height: int, *more: bytes) -> bytes:
    header = chunk(b"IHDR", pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
    body = chunk(b"IDAT", zlib.compress(b"\0" * 100)) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + header + b"".join(more) + body


def image(kind: str, size: tuple[int, int], mode: str = "RGB", **more: object) -> bytes:
    out = io.BytesIO()
    Image.new(mode, size).save(out, kind, **more)  # type: ignore[arg-type]
    return out.getvalue()


def jpeg_of_many_passes() -> bytes:
    """A progressive JPEG of 16 million pixels whose last pass is in it 400 times."""
    whole = image("JPEG", (4000, 4000), "L", progressive=True)
    last = whole[whole.rindex(b"\xff\xda") : -2]
    return whole[:-2] + last * 400 + b"\xff\xd9"


def toml() -> str:
    return write_bank(a_bank(questions=(a_one(),)))


def tomls() -> Iterator[tuple[str, Hostile]]:
    dotted = ".".join("a" * 50_000)
    for name, said, text in (
        ("dotted-key", "more than 8 parts", f"{dotted} = 1\n"),
        ("dotted-header", "more than 8 parts", f"[{dotted}]\n"),
        ("dotted-rows", "more than 8 parts", f"[[{dotted}]]\n"),
        ("dotted-quoted", "more than 8 parts", ".".join(['"a"'] * 50_000) + " = 1\n"),
        ("dotted-spaced", "more than 8 parts", " . ".join("a" * 50_000) + " = 1\n"),
        ("dotted-inline", "more than 8 parts", f"x = {{ {dotted} = 1 }}\n"),
        ("dotted-many", "more than 50,000 entries", "".join(f"a.b.c{n} = 1\n" for n in range(60_000))),
        ("digits", "longer than 100", "x = " + "9" * 100_000 + "\n"),
        ("digits-hex", "longer than 100", "x = 0x" + "f" * 900_000 + "\n"),
        ("digits-fraction", "longer than 100", "x = 1." + "9" * 100_000 + "\n"),
        ("exponent", "out of range", toml() + "\n[more]\nx = 1e99999\n"),
        ("exponent-huge", "longer than 100", "x = 1e" + "9" * 100_000 + "\n"),
        ("word", "longer than 100", "a" * 900_000 + " = 1\n"),
        ("nested-lists", "nested too deeply", "x = " + "[" * 100_000 + "]" * 100_000 + "\n"),
        ("nested-tables", "nested too deeply", "x = " + "{a=" * 50_000 + "1" + "}" * 50_000 + "\n"),
        ("unclosed-text", "not TOML", 'x = "' + "a" * 900_000),
        ("unclosed-quotes", "not TOML", "x = " + '"""\\' * 200_000),
        ("unknown-keys", "not known here", "[bank]\n" + "".join(f"k{n} = 1\n" for n in range(45_000))),
        ("rules", "200 at most", "[[rule]]\n" * 90_000),
        ("turned", "U+202E", toml().replace("Guard", "\\u202eGuard")),
        ("bell", "U+0007", toml().replace("Guard", "\\u0007Guard")),
        ("large", "larger than 1 MB", "#" * 1_100_000),
    ):
        yield f"{name}.toml", Hostile("bank", said, lambda text=text: text.encode())  # type: ignore[misc]


def zips() -> Iterator[tuple[str, Hostile]]:
    bank = {"a.toml": toml().encode()}
    cases: dict[str, tuple[str, Callable[[], bytes]]] = {
        "bzip2": ("compressed in an unusual way", lambda: zipped({"a.toml": b" " * CHUNK}, BZIP2)),
        "lzma": ("compressed in an unusual way", lambda: zipped({"a.toml": b" " * CHUNK}, LZMA)),
        "bomb": ("too large", lambda: lying("a.toml", 100, 100 * CHUNK)),
        "lie": ("too large", lambda: lying("a.toml", 1260, 1000)),
        "lie-picture": ("too large", lambda: lying("pictures/a.svg", 1260, 1000, bank)),
        "lie-small": ("broken", lambda: lying("a.toml", 1, 1000)),
        "many": ("more than 200 files", lambda: zipped({f"pictures/a{n}.svg": b"" for n in range(20_000)}, STORED)),
        "nested": ("does not belong", lambda: zipped({"a.toml": b"x", "b.zip": zipped({"c": b" " * 10_000_000})})),
        "outside": ("does not belong", lambda: zipped({"a.toml": b"x", "../../a.svg": b"x"})),
        "half": ("broken", lambda: zipped(bank)[:-40]),
        "turned": ("does not belong", lambda: zipped(bank | {"pictures/a\u202egvs.exe": b"x"})),
    }
    for name, (said, make) in cases.items():
        yield f"{name}.zip", Hostile("bank", said, make)


def workbooks() -> Iterator[tuple[str, Hostile]]:
    cell = b'<row r="1"><c r="A1"><v>%s</v></c></row>'
    names = b"<si><t>" + b"Uma " * 5000 + b"</t></si>"
    shared = b"".join(b'<row r="%d"><c r="A%d" t="s"><v>0</v></c></row>' % (n, n) for n in range(1, 4000))
    attributes = b" ".join(b'a%d=""' % n for n in range(400_000))
    cases: dict[str, tuple[str, Callable[[], bytes]]] = {
        "lie": ("far larger", lambda: lying(SHEET, 1260, 1000, without(SHEET))),
        "lie-beside": ("far larger", lambda: lying("xl/theme/theme1.xml", 1260, 9, without("xl/theme/theme1.xml"))),
        "lie-small": ("damaged", lambda: lying(SHEET, 1, 1000, without(SHEET))),
        "bzip2": ("compressed in a way", lambda: zipped(book_parts(), BZIP2)),
        "lzma": ("compressed in a way", lambda: zipped(book_parts(), LZMA)),
        "digits": ("damaged", lambda: sheet_of(cell % (b"9" * 100_000))),
        "attributes": ("far larger", lambda: with_part("xl/styles.xml", b"<a " + attributes + b"/>")),
        "deep": ("nothing in this workbook", lambda: sheet_of(b"<a>" * 190_000 + b"</a>" * 190_000)),
        "repeated-text": ("2 MB of text", lambda: shared_text(names, sheet_of(shared))),
        "twice": ("damaged", lambda: zipped(book_parts()).replace(b"docProps/app.xml", b"xl/workbook.xml\0")),
    }
    for name, (said, make) in cases.items():
        yield f"{name}.xlsx", Hostile("roster", said, make)


def texts() -> Iterator[tuple[str, Hostile]]:
    marks = ("e" + "\u0315\u0300\u0327" * 300_000).encode()
    rows = b"".join(b"Uma Lund %d,%d\n" % (n, n) for n in range(5_500))
    for name, said, content in (
        ("marks.csv", "30 marks", b"Name,ID\n" + marks + b",0417\n"),
        ("quotes.csv", "quotation mark", b"Name,ID\n" + b'"' * 1_999_001),
        ("commas.csv", "no row below", b"Name,ID\n" + b"," * 1_900_000),
        ("rows.csv", "rows", b"Name,ID\n" + rows),
        ("lines.csv", "lines", b"Name,ID\n" + b"a\n" * 900_000),
        ("nul.csv", "holds the character 0", b"Name,ID\nUma\0,1\n"),
        ("long.csv", "quotation mark", b"Name,ID\n" + b"a" * 1_900_000 + b",1\n"),
    ):
        yield name, Hostile("roster", said, lambda content=content: content)  # type: ignore[misc]
    yield "pasted-marks", Hostile("pasted", "30 marks", lambda: b"Name\n" + marks)
    yield "pasted-large", Hostile("pasted", "longer than 2 MB", lambda: b"Uma Lund\n" * 300_000)
    yield "pasted-escape", Hostile("pasted", "holds the character 27", lambda: b"Name\n\x1b[31mUma\n")
    yield "pasted-markup", Hostile("pasted", "markup", lambda: b"<svg><script>alert(1)</script></svg>")


def drawings() -> Iterator[tuple[str, Hostile]]:
    plain = "plain shapes"
    circle = b'<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>'
    marked = b'<path marker-mid="url(#m)" d="M0 0%s"/>' % (b"h1" * 60_000)
    for name, said, inside in (
        ("escape", "more than a plain value", b'<path fill="u\\72l(//a.example/b)"/>'),
        ("escape-style", "more than a plain value", b'<path style="fill:u\\72l(//a.example/b)"/>'),
        ("comment", "more than a plain value", b'<path fill="url(/**///a.example/b)"/>'),
        ("comment-split", "more than a plain value", b'<path fill="u/**/rl(//a.example/b)"/>'),
        ("address", "more than a plain value", b'<path fill="url(https://a.example/b)"/>'),
        ("address-quoted", "more than a plain value", b"<path fill=\"url( '//a.example/b#c')\"/>"),
        ("image-set", "more than a plain value", b"<path style=\"fill:image-set('//a.example/b')\"/>"),
        ("style-rule", "element “style”", b"<style>@import '//a.example/b'</style>"),
        ("style-name", "style “background”", b'<path style="background:red"/>'),
        ("script", "element “script”", b"<script>alert(1)</script>"),
        ("handler", "attribute “onload”", b'<path onload="alert(1)"/>'),
        ("animation", "element “animate”", b'<animate attributeName="href" values="//a.example"/>'),
        ("foreign", "element “foreignObject”", b"<foreignObject/>"),
        ("link", plain, b'<use href="https://a.example/b#c"/>'),
        ("data-link", plain, b'<use href="data:image/svg+xml,a#b"/>'),
        ("instruction", "processing instruction", b'<?xml-stylesheet href="//a.example/b"?>'),
        ("groups", "nested more than", b"<g>" * 60_000 + b"</g>" * 60_000),
        ("shapes", "20,000 elements", b"<g/>" * 30_000),
        ("uses", "more than 200,000 shapes", uses(25)),
        ("circle", "refers to itself", circle),
        ("markers", "more than 200,000 shapes", b'<marker id="m">' + b"<g/>" * 9 + b"</marker>" + marked),
        ("patterns", "refers to another part", b'<pattern id="p"><path fill="url(#q)"/></pattern>'),
        ("unclosed", plain, b"<!--<svg " * 50_000),
        ("large", "500 kB", b"<path/>" * 100_000),
    ):
        yield f"{name}.svg", Hostile("bank", said, lambda inside=inside: drawing(inside))  # type: ignore[misc]
    entities = b'<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa">]>'
    for name, said, head in (
        ("doctype", "declaration", b"<?a b?>" + entities + b"<?c d?>" + SVG),
        ("doctype-only", "declaration", entities + SVG),
        ("side", "view box", SVG.replace(b"480", b"99999")),
        ("digits", "viewBox", SVG.replace(b"480", b"9" * 100_000)),
        ("encoding", "UTF-8", b'<?xml version="1.0" encoding="utf-7"?>' + SVG),
    ):
        yield f"head-{name}.svg", Hostile("bank", said, lambda head=head: drawing(b"", head))  # type: ignore[misc]


def photos() -> Iterator[tuple[str, Hostile]]:
    text_bomb = chunk(b"zTXt", b"a\0\0" + zlib.compress(b" " * 20_000_000))
    cases: dict[str, tuple[str, Callable[[], bytes]]] = {
        "huge.png": ("16 million", lambda: png(60_000, 60_000)),
        "large.png": ("16 million", lambda: png(5_000, 5_000)),
        "cut.png": ("broken", lambda: png(4_000, 4_000)),
        "text.png": ("broken", lambda: png(60, 60, text_bomb)),
        "heavy.png": ("5 MB", lambda: png(60, 60) + b"\0" * 5_300_000),
        "passes.jpg": ("too many passes", jpeg_of_many_passes),
        "cut.jpg": ("broken", lambda: image("JPEG", (4_000, 4_000))[:9_000]),
        "huge.jpg": ("16 million", lambda: image("JPEG", (6_000, 6_000), "L")),
        "large.webp": ("8 million", lambda: image("WEBP", (3_000, 2_800))),
        "cut.webp": ("broken", lambda: image("WEBP", (2_000, 2_000))[:-60]),
        "script.webp": ("cannot be read", lambda: b"<script>alert(1)</script>"),
        "tiff.png": ("cannot be read", lambda: image("TIFF", (60, 60))),
    }
    for name, (said, make) in cases.items():
        yield name, Hostile("bank", said, lambda name=name, make=make: bank_with(name, make()))  # type: ignore[misc]


HOSTILE: dict[str, Hostile] = {
    name: file for kind in (tomls, zips, workbooks, texts, drawings, photos) for name, file in kind()
}

LARGEST: dict[str, Hostile] = {
    "largest.png": Hostile("bank", "", lambda: bank_with("a.png", image("PNG", (4_000, 4_000), "RGBA"))),
    "largest.jpg": Hostile("bank", "", lambda: bank_with("a.jpg", image("JPEG", (4_000, 4_000), progressive=True))),
    "largest.webp": Hostile("bank", "", lambda: bank_with("a.webp", image("WEBP", (3_200, 2_500)))),
}
