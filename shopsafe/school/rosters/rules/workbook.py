"""An XLSX workbook to rows of text.

Its parts are unpacked within limits and checked first; the library that reads workbooks gets only what passed.
"""

import io
import re
import zipfile
from collections.abc import Iterator
from datetime import date, datetime
from typing import Any, assert_never

from shopsafe.files.unpacking import BadZip, listed, unpacked
from shopsafe.language.messages import _, marked
from shopsafe.school.naming.rules.characters import stacked
from shopsafe.school.rosters.rules.facts import NotARoster, RosterRow, RosterTable

MOST_MEMBERS = 200
MOST_UNPACKED = 50_000_000
# A workbook of 5,000 rows and 10 columns has at most this many tags. More is no class list, and slow to read.
MOST_TAGS = 400_000
MOST_TAGS_BESIDE = 40_000  # in a part that holds no cells: styles, themes, links
LARGEST_PART = 10_000_000
MOST_OF_MARKUP = 20_000_000  # bytes of all parts that are read
MOST_TEXT = 2_000_000  # characters in the cells: as much as a text file may hold
LONGEST_TAG = re.compile(rb"<[^>]{20000}")  # thousands of attributes in one tag take far more memory than bytes
MOST_COLUMNS = 60
LAST_ROW = 20_000  # blank ones included

SAVE_AS = marked("In the spreadsheet program, save the list as XLSX or CSV, and choose that file.")
_PADDED = re.compile(r'(?:\[[^\]]*\]|"[^"]*"|\\.|[0#? ./()-])+')
_LITERAL = re.compile(r'\[[^\]]*\]|"([^"]*)"|\\(.)|([0#?])|(.)')


def read_workbook(file: str, data: bytes, most_rows: int) -> RosterTable:
    """The first visible sheet that holds anything. Raises NotARoster."""
    package = plain_package(file, data)
    try:
        return _read(file, package, most_rows)
    except NotARoster:
        raise
    # A damaged workbook fails in as many ways as there are parts; each means the same to the teacher.
    except Exception as wrong:
        raise NotARoster("damaged", file, _("this workbook is damaged and could not be read."), SAVE_AS) from wrong


def plain_package(file: str, data: bytes) -> bytes:
    """The workbook's parts as a new zip in which nothing is compressed. Raises NotARoster unless it is small, whole,
    open, and a plain workbook. Pictures and other parts that are not markup are left out, and never unpacked."""
    try:
        members = listed(data)
        _check_members(file, members)
        markup = [member for member in members if member.filename.lower().endswith((".xml", ".rels"))]
        package_file, tags = io.BytesIO(), 0
        with zipfile.ZipFile(package_file, "w", zipfile.ZIP_STORED) as package:
            for name, part in unpacked(data, markup, lambda _: LARGEST_PART, MOST_OF_MARKUP):
                tags += _tags(file, name, part)
                package.writestr(name, part)
    except BadZip as wrong:
        raise _no_package(file, wrong) from wrong
    if tags > MOST_TAGS:
        raise NotARoster("too-many-cells", file, _("it has far more cells than a class list."), SAVE_AS)
    return package_file.getvalue()


def _no_package(file: str, wrong: BadZip) -> NotARoster:
    match wrong.code:
        case "password":
            reason, remedy = _("it is protected with a password."), _("Remove the password and save it.")
            return NotARoster("password", file, reason, remedy)
        case "many":
            reason = _("it holds more than {number} packed files.", number=MOST_MEMBERS)
            return NotARoster("too-many-parts", file, reason, SAVE_AS)
        case "size":
            reason = _("its part {part} is far larger than a class list needs.", part=wrong.member)
            return NotARoster("too-many-cells", file, reason, SAVE_AS)
        case "packing":
            reason = _(
                "its part {part} is compressed in a way that spreadsheet programs do not use.", part=wrong.member
            )
            return NotARoster("damaged", file, reason, SAVE_AS)
        case "broken" | "twice":
            return NotARoster("damaged", file, _("this workbook is damaged and could not be opened."), SAVE_AS)
    assert_never(wrong.code)


def _check_members(file: str, members: list[zipfile.ZipInfo]) -> None:
    names = {member.filename for member in members}
    if len(members) > MOST_MEMBERS:
        raise NotARoster(
            "too-many-parts", file, _("it holds more than {number} packed files.", number=MOST_MEMBERS), SAVE_AS
        )
    if sum(member.file_size for member in members) > MOST_UNPACKED:
        raise NotARoster("too-big-unpacked", file, _("it unpacks to more than 50 MB."), SAVE_AS)
    if "xl/workbook.bin" in names:
        raise NotARoster("binary-workbook", file, _("it is a binary workbook (XLSB)."), SAVE_AS)
    if "[Content_Types].xml" not in names or "xl/workbook.xml" not in names:
        raise NotARoster("no-workbook", file, _("it is a packed file, but not a workbook."), SAVE_AS)


def _tags(file: str, name: str, part: bytes) -> int:
    """How many tags a part has. Raises NotARoster where it is more than plain markup."""
    # Entities and other alphabets have no place in a workbook's parts; they are how a parser is led astray.
    if b"<!" in part.replace(b"<!--", b"").replace(b"<![CDATA[", b"") or b"\0" in part:
        raise NotARoster("damaged", file, _("the part {part} of this workbook is not plain.", part=name), SAVE_AS)
    tags = part.count(b"<")
    holds_cells = name.startswith("xl/worksheets/") or name == "xl/sharedStrings.xml"
    if (tags > MOST_TAGS_BESIDE and not holds_cells) or LONGEST_TAG.search(part):
        raise NotARoster(
            "too-many-cells", file, _("its part {part} is far larger than a class list needs.", part=name), SAVE_AS
        )
    return tags


def _read(file: str, data: bytes, most_rows: int) -> RosterTable:
    import openpyxl  # here, since it takes a third of a second and few requests want it

    book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
    try:
        visible = [sheet for sheet in book.worksheets if sheet.sheet_state == "visible"]
        for place, sheet in enumerate(visible):
            rows, blank = _rows(file, sheet, most_rows)
            if rows:
                notes = _notes(sheet.title, [other.title for other in visible[:place] + visible[place + 1 :]], book)
                return RosterTable(file, "workbook", "XLSX", "", tuple(rows), blank, tuple(notes))
    finally:
        book.close()
    raise NotARoster("empty", file, _("there is nothing in this workbook."), _("Choose the file with the class list."))


def _notes(read: str, others: list[str], book: Any) -> list[str]:
    notes = [_("Read from the sheet “{sheet}”.", sheet=read)]
    hidden = [sheet.title for sheet in book.worksheets if sheet.sheet_state != "visible"]
    if others:
        notes.append(_("Other sheets were not read: {sheets}.", sheets=", ".join(others)))
    if hidden:
        notes.append(_("Hidden sheets were not read: {sheets}.", sheets=", ".join(hidden)))
    return notes


def _rows(file: str, sheet: Any, most_rows: int) -> tuple[list[RosterRow], int]:
    sheet.reset_dimensions()  # the size a workbook states of itself is often wrong
    rows: list[RosterRow] = []
    blank = waiting = length = 0
    for number, cells in _numbered(file, sheet):
        texts = tuple(cell_text(cell.value, getattr(cell, "number_format", "General")) for cell in cells)
        if not any(text.strip() for text in texts):
            waiting += 1
            continue
        if texts[MOST_COLUMNS:] and texts[-1].strip():
            raise NotARoster(
                "too-many-columns", file, _("it has more than {number} columns.", number=MOST_COLUMNS), SAVE_AS
            )
        length += sum(map(len, texts))
        if length > MOST_TEXT:
            raise NotARoster("too-big-unpacked", file, _("its cells hold more than 2 MB of text."), SAVE_AS)
        if any(map(stacked, texts)):
            raise NotARoster(
                "not-text", file, _("a letter in row {row} carries more than 30 marks.", row=number), SAVE_AS
            )
        blank, waiting = blank + waiting, 0
        rows.append(RosterRow(number, texts))
        if len(rows) > most_rows:
            raise NotARoster(
                "too-many-rows",
                file,
                _("it has more than {most_rows} rows.", most_rows=f"{most_rows:,}"),
                _("Choose one class's list."),
            )
    return rows, blank


def _numbered(file: str, sheet: Any) -> Iterator[tuple[int, tuple[Any, ...]]]:
    for number, cells in enumerate(sheet.iter_rows(max_col=MOST_COLUMNS + 1), start=1):
        if number > LAST_ROW:
            raise NotARoster(
                "too-many-rows",
                file,
                _("its rows go beyond row {last_row}.", last_row=f"{LAST_ROW:,}"),
                _("Copy the list to a new workbook."),
            )
        yield number, cells


def cell_text(value: object, number_format: str) -> str:
    """A cell as the spreadsheet shows it, as far as names and numbers of students go.

    >>> cell_text(417, "000000")
    '000417'
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    if isinstance(value, int):
        return _padded(value, number_format)
    if isinstance(value, datetime) and value.time() == datetime.min.time():
        return value.date().isoformat()
    return value.isoformat() if isinstance(value, date | datetime) else str(value)


def _padded(value: int, number_format: str) -> str:
    """`value` in a format made of digits and fixed signs, such as 000000 or 000-000; plain in any other."""
    shown = (number_format or "General").split(";")[0]
    if value < 0 or "0" not in shown or "." in shown or not _PADDED.fullmatch(shown):
        return str(value)
    digits, characters = list(str(value)), []
    for quoted, escaped, place, sign in reversed(_LITERAL.findall(shown)):
        if place == "0" or (place and digits):
            characters.append(digits.pop() if digits else "0")
        else:
            characters.append((quoted or escaped or sign) if not place else "")
    return "".join(digits) + "".join(reversed(characters))
