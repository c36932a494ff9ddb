"""Files that are no class list, or pretend to be one: each is refused with its name, the reason and what to do."""

import io
import random
import zipfile
from collections.abc import Callable

import openpyxl
import pytest

from shopsafe.school.rosters.rules import NotARoster, preview, read_file, read_pasted
from shopsafe.school.rosters.rules.reading import MOST_BYTES, MOST_ROWS
from shopsafe.school.rosters.rules.workbook import MOST_MEMBERS, plain_package

SHEET = "xl/worksheets/sheet1.xml"
OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


def workbook(rows: list[list[object]] | None = None) -> bytes:
    book, buffer = openpyxl.Workbook(), io.BytesIO()
    for row in rows if rows is not None else [["Name", "ID"], ["Lund, Uma", "000417"]]:
        book.active.append(row)
    book.save(buffer)
    return buffer.getvalue()


def repacked(change: Callable[[dict[str, bytes]], None], base: bytes | None = None) -> bytes:
    """A workbook with its parts changed."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(base or workbook())) as package:
        parts = {name: package.read(name) for name in package.namelist()}
    change(parts)
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as package:
        for name, part in parts.items():
            package.writestr(name, part)
    return buffer.getvalue()


def with_part(name: str, part: bytes) -> bytes:
    return repacked(lambda parts: parts.__setitem__(name, part))


def sheet_of(inside: bytes) -> bytes:
    head = b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
    return with_part(SHEET, head + inside + b"</sheetData></worksheet>")


def packed(names: list[str], part: bytes = b"x") -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as package:
        for name in names:
            package.writestr(name, part)
    return buffer.getvalue()


def encrypted_flag(data: bytes) -> bytes:
    """The same zip with every member marked as encrypted, in both headers."""
    flagged = bytearray(data)
    for sign, offset in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        place = flagged.find(sign)
        while place >= 0:
            flagged[place + offset] |= 1
            place = flagged.find(sign, place + 1)
    return bytes(flagged)


def csv_rows(count: int) -> bytes:
    return b"Name,ID\n" + b"".join(b"Uma Lund,%06d\n" % n for n in range(count))


ENTITIES = (
    b'<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;"><!ENTITY c "&b;&b;&b;&b;&b;&b;">]>'
    b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
    b'<row r="1"><c r="A1" t="inlineStr"><is><t>&c;</t></is></c></row></sheetData></worksheet>'
)
OUTSIDE = ENTITIES.replace(b'<!ENTITY a "aaaaaaaaaa">', b'<!ENTITY a SYSTEM "file:///etc/hostname">')

HOSTILE: dict[str, tuple[str, Callable[[], bytes]]] = {
    # nothing in it
    "empty.csv": ("empty", lambda: b""),
    "spaces.csv": ("empty", lambda: b" \r\n\t\r\n"),
    "mark-only.csv": ("empty", lambda: b"\xef\xbb\xbf"),
    "separators.csv": ("no-names", lambda: b",,,\n,,,\n"),
    "nothing-but-nul.csv": ("empty", lambda: b"\0" * 900),
    "no-rows.csv": ("no-rows", lambda: b"Name,ID\n"),
    "empty.xlsx": ("empty", lambda: workbook([])),
    "header-only.xlsx": ("no-rows", lambda: workbook([["Name", "ID"]])),
    # other kinds of file
    "list.pdf": ("pdf", lambda: b"%PDF-1.7\n1 0 obj <<>> endobj"),
    "pdf-called.csv": ("pdf", lambda: b"%PDF-1.4\nName,ID\nUma Lund,0417"),
    "photo.png": ("image", lambda: b"\x89PNG\r\n\x1a\n" + b"\0" * 40),
    "photo.jpg": ("image", lambda: b"\xff\xd8\xff\xe0" + b"\0" * 40),
    "photo.gif": ("image", lambda: b"GIF89a" + b"\0" * 40),
    "photo.webp": ("not-text", lambda: b"RIFF\x24\0\0\0WEBPVP8 " + b"\1" * 40),
    "letter.rtf": ("document", lambda: b"{\\rtf1 Name}"),
    "page.html": ("markup", lambda: b"<!DOCTYPE html><table><tr><td>Uma Lund</td></tr></table>"),
    "page-called.xls": ("markup", lambda: b"  <html><table><tr><td>Uma Lund</td></tr></table>"),
    "drawing.svg": ("markup", lambda: b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'),
    "data.xml": ("markup", lambda: b'<?xml version="1.0"?><students/>'),
    "old.xls": ("old-workbook", lambda: OLE + b"\0" * 600),
    "locked.xlsx": ("password", lambda: OLE + b"\0" * 80 + "EncryptedPackage".encode("utf-16-le") + b"\0" * 80),
    "program.exe": ("not-text", lambda: b"MZ\x90\0\3\0\0\0" + b"\xff\xfe" * 30),
    "program.elf": ("not-text", lambda: b"\x7fELF\2\1\1" + b"\0" * 60),
    "database.sqlite3": ("not-text", lambda: b"SQLite format 3\0" + b"\x10\0" * 60),
    "list.gz": ("not-text", lambda: b"\x1f\x8b\x08\0\0\0\0\0\0\3" + b"\x33" * 40),
    "list.7z": ("not-text", lambda: b"7z\xbc\xaf\x27\x1c\0\4" + b"\x11" * 40),
    "noise.bin": ("not-text", lambda: random.Random(7).randbytes(4000)),
    "noise-called.csv": ("not-text", lambda: b"Name,ID\n" + random.Random(8).randbytes(4000)),
    # text that is none
    "nul.csv": ("not-text", lambda: b"Name,ID\nUma\0Lund,0417\n"),
    "bell.csv": ("not-text", lambda: b"Name,ID\nUma\x07 Lund,0417\n"),
    "escape.csv": ("not-text", lambda: b"Name,ID\n\x1b[31mUma Lund,0417\n"),
    "broken-mark.csv": ("not-text", lambda: b"\xef\xbb\xbfName,ID\nUma \xe9,0417\n"),
    "utf-16-without-a-mark.csv": ("not-text", lambda: "Name,ID\nUma Lund,0417\n".encode("utf-16-le")),
    "utf-32.csv": ("not-text", lambda: "Name,ID\nUma Lund,0417\n".encode("utf-32")),
    "odd-utf-16.csv": ("not-text", lambda: b"\xff\xfeN\0a\0m"),
    "no-cp1252.csv": ("not-text", lambda: b"Name,ID\nUma \x81\x8d,0417\n"),
    "open-quote.csv": ("quotes", lambda: b'Name,ID\n"Lund, Uma,0417\nRo Berg,0418\n'),
    "stray-quote.csv": ("quotes", lambda: b'Name,ID\n"Lund" Uma,0417\nRo Berg,0418\n'),
    "long-cell.csv": ("quotes", lambda: b'Name,ID\n"' + b"a" * 200_000 + b'",0417\n'),
    # text without names
    "numbers.csv": ("no-names", lambda: b"1\n2\n3\n"),
    "numbers-in-columns.csv": ("no-names", lambda: b"12,13\n14,15\n"),
    "marks.csv": ("no-names", lambda: b"ID,Mark\n0417,8\n0418,9\n"),
    "program.py": ("no-names", lambda: b"import os\nprint(os.getcwd())\nx = [1, 2]\ny = {3: 4}\n"),
    "data.json": ("no-names", lambda: b'{"students": [{"id": 1}]}\n'),
    "numbers.xlsx": ("no-names", lambda: workbook([[1, 2], [3, 4]])),
    # too much
    "huge.csv": ("too-big", lambda: csv_rows(10) + b" " * MOST_BYTES),
    "huge.xlsx": ("too-big", lambda: workbook() + b"\0" * MOST_BYTES),
    "long.csv": ("too-many-rows", lambda: csv_rows(MOST_ROWS)),
    "blank-lines.csv": ("too-many-rows", lambda: b"Name\nUma Lund\n" + b"\n" * 1_900_000),
    "wide.csv": ("too-many-columns", lambda: b"Name,ID" + b",x" * 900_000 + b"\nUma Lund,0417\n"),
    "long.xlsx": ("too-many-rows", lambda: workbook([["Uma Lund", n] for n in range(MOST_ROWS + 1)])),
    "wide.xlsx": ("too-many-columns", lambda: workbook([["Name", *["x"] * 80]])),
    "bomb.xlsx": ("too-big-unpacked", lambda: with_part("xl/media/a.bin", b"\0" * 50_000_001)),
    "many-bombs.xlsx": (
        "too-big-unpacked",
        lambda: repacked(lambda parts: parts.update({f"xl/m{n}.bin": b"\0" * 2_000_000 for n in range(26)})),
    ),
    "members.xlsx": (
        "too-many-parts",
        lambda: repacked(lambda parts: parts.update({f"xl/{n}.xml": b"<a/>" for n in range(MOST_MEMBERS)})),
    ),
    "cells.xlsx": ("too-many-cells", lambda: sheet_of(b'<row r="1"><c r="A1"/></row>' * 300_000)),
    "strings.xlsx": (
        "too-many-cells",
        lambda: with_part("xl/sharedStrings.xml", b"<sst>" + b"<si><t>a</t></si>" * 300_000 + b"</sst>"),
    ),
    "one-long-cell.xlsx": (
        "too-many-cells",
        lambda: sheet_of(b'<row r="1"><c r="A1" t="inlineStr"><is><t>' + b"a" * 11_000_000 + b"</t></is></c></row>"),
    ),
    "styles.xlsx": ("too-many-cells", lambda: with_part("xl/styles.xml", b"<xf>" + b"<xf/>" * 50_000 + b"</xf>")),
    # packages that are no plain workbook
    "list.zip": ("no-workbook", lambda: packed(["users.csv", "manifest.csv"])),
    "letter.docx": ("no-workbook", lambda: packed(["[Content_Types].xml", "word/document.xml"])),
    "list.ods": ("no-workbook", lambda: packed(["mimetype", "content.xml"])),
    "list.xlsb": ("binary-workbook", lambda: packed(["[Content_Types].xml", "xl/workbook.bin"])),
    "locked-zip.xlsx": ("password", lambda: encrypted_flag(workbook())),
    "cut.xlsx": ("damaged", lambda: workbook()[:-60]),
    "half.xlsx": ("damaged", lambda: workbook()[:900]),
    "start-only.xlsx": ("damaged", lambda: b"PK\x03\x04" + b"\0" * 60),
    "flipped.xlsx": ("damaged", lambda: (lambda data: data[:60] + bytes([data[60] ^ 255]) + data[61:])(workbook())),
    "entities.xlsx": ("damaged", lambda: with_part(SHEET, ENTITIES)),
    "outside-entity.xlsx": ("damaged", lambda: with_part(SHEET, OUTSIDE)),
    "utf-16-part.xlsx": ("damaged", lambda: with_part(SHEET, ENTITIES.decode().encode("utf-16"))),
    "entities-in-strings.xlsx": ("damaged", lambda: with_part("xl/sharedStrings.xml", ENTITIES)),
    "no-sheet.xlsx": ("empty", lambda: repacked(lambda parts: parts.pop(SHEET))),
    "no-xml.xlsx": ("damaged", lambda: with_part(SHEET, b"not markup")),
    "open-tags.xlsx": ("damaged", lambda: sheet_of(b"<row><c>")),
    "deep.xlsx": ("damaged", lambda: with_part("xl/styles.xml", b"<a>" * 15_000 + b"</a>" * 15_000)),
    "far-row.xlsx": ("too-many-rows", lambda: sheet_of(b'<row r="99999999"><c r="A99999999"><v>1</v></c></row>')),
    "far-column.xlsx": ("damaged", lambda: sheet_of(b'<row r="1"><c r="ZZZZ1"><v>1</v></c></row>')),
    "no-such-string.xlsx": ("damaged", lambda: sheet_of(b'<row r="1"><c r="A1" t="s"><v>999999</v></c></row>')),
}


def refusal(file: str, data: bytes) -> NotARoster:
    with pytest.raises(NotARoster) as caught:
        preview(read_file(file, data), [])
    return caught.value


@pytest.mark.parametrize("file", HOSTILE)
def test_is_refused_with_file_reason_and_remedy(file: str) -> None:
    code, make = HOSTILE[file]
    refused = refusal(file, make())
    assert refused.code == f"roster.{code}"
    file_and_reason, remedy = refused.sentence.split(". ", 1)
    assert file_and_reason.startswith(f"{file}: ")
    assert remedy.endswith(".")


def test_there_are_enough_of_them() -> None:
    assert len(HOSTILE) >= 60


@pytest.mark.parametrize("text", ["", "  \n", "Name\0\nUma", "x" * (MOST_BYTES + 1), "<html>", "1\n2"])
def test_pasted_text_is_held_to_the_same(text: str) -> None:
    with pytest.raises(NotARoster):
        preview(read_pasted(text), [])


def test_size_is_checked_before_anything_is_opened(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(zipfile, "ZipFile", lambda *_: pytest.fail("opened"))
    assert refusal("huge.xlsx", workbook() + b"\0" * MOST_BYTES).code == "roster.too-big"


def test_unpacked_size_is_checked_before_a_part_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    bomb = with_part("xl/media/a.bin", b"\0" * 50_000_001)
    monkeypatch.setattr(zipfile.ZipFile, "read", lambda *_: pytest.fail("read"))
    with pytest.raises(NotARoster, match="50 MB"):
        plain_package("bomb.xlsx", bomb)


def test_the_largest_lists_that_are_taken() -> None:
    assert preview(read_file("long.csv", csv_rows(MOST_ROWS - 1)), []).counts["rows"] == MOST_ROWS - 1


def test_thousands_of_rows_with_one_name_get_short_notes() -> None:
    seen = preview(read_file("long.csv", csv_rows(MOST_ROWS - 1)), [])
    assert max(len(note) for entry in seen.entries for note in entry.notes) < 200


def test_the_size_a_workbook_states_of_itself_is_not_believed() -> None:
    def understate(parts: dict[str, bytes]) -> None:
        parts[SHEET] = parts[SHEET].replace(b'<dimension ref="A1:B3"', b'<dimension ref="A1"')

    rows = [["Name", "ID"], ["Lund, Uma", "000417"], ["Berg, Ro", "000418"]]
    data = repacked(understate, workbook(rows))
    assert [entry.read.id for entry in preview(read_file("list.xlsx", data), []).ready] == ["000417", "000418"]
