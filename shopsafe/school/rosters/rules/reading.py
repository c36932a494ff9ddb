"""The bytes of a file, or pasted text, to numbered rows of cells. Says what it took the file for, or refuses it."""

import csv
import io
import re

from shopsafe.language.messages import _, marked
from shopsafe.school.naming.rules.characters import stacked
from shopsafe.school.rosters.rules.facts import NotARoster, RosterRow, RosterTable
from shopsafe.school.rosters.rules.workbook import MOST_COLUMNS, SAVE_AS, read_workbook

MOST_BYTES = 2_000_000
MOST_ROWS = 5_000
MOST_LINES = 20_000  # a row may go over several lines, and blank ones don't count
PASTED = marked("Pasted text")

_CHOOSE = marked("Choose a class list in CSV, XLSX or plain text.")
_RESAVE = marked("Fix that line, or save the list again from the spreadsheet program.")
_STARTS = (
    (b"%PDF", "pdf", marked("it is a PDF, a picture of a list.")),
    (b"\x89PNG", "image", marked("it is a picture.")),
    (b"\xff\xd8\xff", "image", marked("it is a picture.")),
    (b"GIF8", "image", marked("it is a picture.")),
    (b"{\\rtf", "document", marked("it is a text document with formatting (RTF).")),
)
_SEPARATORS = {  # the earlier wins a tie
    "\t": marked("Cells are set apart by tabs."),
    ";": marked("Cells are set apart by semicolons."),
    "|": marked("Cells are set apart by upright strokes."),
    ",": marked("Cells are set apart by commas."),
}
_CONTROL = re.compile(r"[\x00-\x08\x0e-\x1f\x7f]")
_MARKUP = re.compile(r"\s*<(?:!doctype|html|\?xml|table|svg)", re.IGNORECASE)
_ENCRYPTED_PART = "EncryptedPackage".encode("utf-16-le")


def read_file(file: str, data: bytes) -> RosterTable:
    """The rows of an uploaded file. Raises NotARoster with the file, the reason and what to do."""
    if len(data) > MOST_BYTES:
        raise NotARoster("too-big", file, _("it is larger than 2 MB."), _("Choose one class's list."))
    if not data.strip(b"\0\t\r\n \xef\xbb\xbf"):
        raise NotARoster("empty", file, _("it is empty."), _CHOOSE)
    if data.startswith(b"PK\x03\x04"):
        return read_workbook(file, data, MOST_ROWS)
    if data.startswith(b"\xd0\xcf\x11\xe0"):
        if _ENCRYPTED_PART in data:
            raise NotARoster(
                "password", file, _("it is protected with a password."), _("Take the password off and save it.")
            )
        raise NotARoster("old-workbook", file, _("it is in the old XLS format."), SAVE_AS)
    for start, code, reason in _STARTS:
        if data.startswith(start):
            raise NotARoster(code, file, _(reason), _CHOOSE)
    text, encoding, notes = decode(file, data)
    return _read_text(file, text, encoding, notes)


def read_pasted(text: str) -> RosterTable:
    """The rows of text pasted into a form. Raises NotARoster."""
    if len(text.encode("utf-8", "surrogatepass")) > MOST_BYTES:
        raise NotARoster("too-big", PASTED, _("it is longer than 2 MB."), _("Paste one class's list."))
    if not text.strip():
        raise NotARoster("empty", PASTED, _("there is nothing in it."), _("Paste the class list, a student a line."))
    return _read_text(PASTED, text.removeprefix("\ufeff"), "pasted", [])


def decode(file: str, data: bytes) -> tuple[str, str, list[str]]:
    """The text, the encoding it was read in, and what to tell the teacher about it."""
    for mark, encoding, name in (
        (b"\xef\xbb\xbf", "utf-8-sig", "UTF-8"),
        (b"\xff\xfe", "utf-16", "UTF-16"),
        (b"\xfe\xff", "utf-16", "UTF-16"),
    ):
        if data.startswith(mark):
            try:
                return (
                    data.decode(encoding),
                    encoding,
                    [_("Letters were read as {encoding}, as the file says.", encoding=name)],
                )
            except UnicodeDecodeError as wrong:
                reason = _("it says it is {encoding} and is not.", encoding=name)
                raise NotARoster("not-text", file, reason, SAVE_AS) from wrong
    try:
        return data.decode(), "utf-8", [_("Letters were read as UTF-8.")]
    except UnicodeDecodeError:
        pass
    try:
        text = data.decode("cp1252")
    except UnicodeDecodeError as wrong:
        raise NotARoster("not-text", file, _("it is not text."), _CHOOSE) from wrong
    return text, "cp1252", [_check_letters(text)]


def _check_letters(text: str) -> str:
    """cp1252 is an assumption: it gives every byte a letter, and only a reader sees whether the right one."""
    odd = [word for word in re.findall(r"\w+", text) if not word.isascii()]
    shown = ", ".join(dict.fromkeys(odd[:6])) or _("signs outside the names")
    return _(
        "The file is not UTF-8. Letters were read as Windows Western European (cp1252). Are these right: {shown}?",
        shown=shown,
    )


def _read_text(file: str, text: str, encoding: str, notes: list[str]) -> RosterTable:
    text = text.rstrip("\x1a").replace("\v", " ")  # an old end-of-file sign; a line break inside a cell
    _must_be_text(file, text)
    if _MARKUP.match(text):
        raise NotARoster("markup", file, _("it is a web page or other markup."), SAVE_AS)
    if len(text.splitlines()) > MOST_LINES:
        raise NotARoster(
            "too-many-rows",
            file,
            _("it has more than {number} lines.", number=f"{MOST_LINES:,}"),
            _("Choose one class's list."),
        )
    separator, cells = _split(file, text)
    rows, blank = _numbered(cells)
    if not rows:
        raise NotARoster("empty", file, _("it has no cells with anything in them."), _CHOOSE)
    if len(rows) > MOST_ROWS:
        raise NotARoster(
            "too-many-rows",
            file,
            _("it has more than {number} rows.", number=f"{MOST_ROWS:,}"),
            _("Choose one class's list."),
        )
    if any(len(row.cells) > MOST_COLUMNS for row in rows):
        raise NotARoster(
            "too-many-columns", file, _("it has more than {number} columns.", number=MOST_COLUMNS), _CHOOSE
        )
    notes = [*notes, _(_SEPARATORS[separator]) if separator else _("There is one column.")]
    return RosterTable(file, "text", encoding, separator, tuple(rows), blank, tuple(notes))


def _must_be_text(file: str, text: str) -> None:
    if control_character := _CONTROL.search(text):
        line, code = text.count("\n", 0, control_character.start()) + 1, ord(control_character[0])
        reason = _("it is not text: line {line} holds the character {character}.", line=line, character=code)
        raise NotARoster("not-text", file, reason, _CHOOSE)
    if stacked(text):
        raise NotARoster("not-text", file, _("it is not text: a letter carries more than 30 marks."), _CHOOSE)


def _numbered(cells: list[list[str]]) -> tuple[list[RosterRow], int]:
    """The rows that hold something, without the blank cells at their ends, and how many blank rows stand between."""
    kept = ((number, row[: _filled(row)]) for number, row in enumerate(cells, start=1))
    rows = [RosterRow(number, tuple(row)) for number, row in kept if row]
    return rows, (rows[-1].number - len(rows) if rows else 0)


def _filled(row: list[str]) -> int:
    """The place of the last cell with something in it, from 1; 0 in a blank row."""
    return next((place for place in range(len(row), 0, -1) if row[place - 1].strip()), 0)


def _split(file: str, text: str) -> tuple[str, list[list[str]]]:
    """The separator that cuts most rows into cells, and the cells. One column where none cuts half of the rows."""
    lines = [line for line in text.splitlines() if line.strip()]
    best, chosen = 0.5, ""
    for separator in _SEPARATORS:
        cells = _cells(text, separator) if separator in text else []
        if isinstance(cells, int):  # quotes go wrong; that matters if this would have been the separator
            share = sum(separator in line for line in lines) / len(lines)
        else:
            filled = [row for row in cells if any(cell.strip() for cell in row)]
            share = sum(len(row) > 1 for row in filled) / max(1, len(filled))
        if share > best or (share == best and not chosen):
            best, chosen = share, separator
    chosen_cells = _cells(text, chosen or "\x1f")
    if isinstance(chosen_cells, int):
        raise NotARoster(
            "quotes",
            file,
            _("a quotation mark near line {line} is not closed or out of place.", line=chosen_cells),
            _RESAVE,
        )
    return chosen, chosen_cells


def _cells(text: str, separator: str) -> list[list[str]] | int:
    """The rows cut at `separator`, or the line at which the quotation marks go wrong."""
    spaced = separator != "\t" and re.search(rf'{re.escape(separator)} +"', text) is not None
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True, skipinitialspace=spaced)
    try:
        return list(reader)
    except csv.Error:
        return reader.line_num
