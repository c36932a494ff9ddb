"""A register as a spreadsheet, CSV or XLSX: a row a student, a column a machine, a standing in words in each cell."""

import csv
import io
from collections.abc import Sequence

import xlsxwriter

from shopsafe.language.messages import _, marked

# A cell that begins so would be run as a formula by a spreadsheet program; with a quote before it, it is text.
RUNS = ("=", "+", "-", "@", "\t", "\r")
FIRST_COLUMNS = (marked("Student"), marked("Number"))


def as_text(cell: str) -> str:
    return f"'{cell}" if cell.startswith(RUNS) else cell


def as_csv(rows: Sequence[Sequence[str]]) -> bytes:
    """UTF-8 with a byte order mark, so that a spreadsheet program reads the names right."""
    buffer = io.StringIO()
    csv.writer(buffer).writerows([as_text(cell) for cell in row] for row in rows)
    return buffer.getvalue().encode("utf-8-sig")


def as_xlsx(rows: Sequence[Sequence[str]], title: str) -> bytes:
    """One sheet; the head row and the names stay in sight. Nothing in it is a formula or a link."""
    buffer = io.BytesIO()
    book = xlsxwriter.Workbook(buffer, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False})
    sheet = book.add_worksheet(_("Clearances"))
    bold = book.add_format({"bold": True, "text_wrap": True, "valign": "bottom"})
    for number, row in enumerate(rows):
        for column, cell in enumerate(row):
            sheet.write_string(number, column, as_text(cell), bold if number == 0 else None)
    sheet.freeze_panes(1, 1)
    sheet.set_column(0, 0, 28)
    sheet.set_column(1, max(map(len, rows), default=1), 14)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.set_header(f"&L{title.replace('&', '&&')}")
    book.close()
    return buffer.getvalue()
