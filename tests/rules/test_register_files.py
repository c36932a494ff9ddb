"""A register as a spreadsheet: names come through whole, and no cell is ever run as a formula."""

import io

import pytest
from openpyxl import load_workbook

from machines.register.files import as_csv, as_text, as_xlsx

ROWS = [["Student", "Number", "Band saw 2"], ["=HYPERLINK(1)", "0042", "cleared"], ["Đặng Anh", "7", "on hold"]]


@pytest.mark.parametrize("cell", ["=1+1", "+1", "-1", "@a", "\tx", "\rx"])
def test_spreadsheet_formula_gets_a_quote(cell: str):
    assert as_text(cell) == f"'{cell}"


def test_other_text_stays_as_it_is():
    assert [as_text(cell) for cell in ("Ana-Lena", "", "7", "'t Hart")] == ["Ana-Lena", "", "7", "'t Hart"]


def test_csv_is_utf_8_with_a_mark_and_has_every_row():
    lines = as_csv(ROWS).decode("utf-8-sig").split("\r\n")
    assert lines == ["Student,Number,Band saw 2", "'=HYPERLINK(1),0042,cleared", "Đặng Anh,7,on hold", ""]
    assert as_csv(ROWS).startswith(b"\xef\xbb\xbf")


def test_xlsx_holds_text_alone():
    book = load_workbook(io.BytesIO(as_xlsx(ROWS, "Register & 9 Teak")))
    cells = [list(row) for row in book.active.iter_rows()]
    assert [[cell.value for cell in row] for row in cells][1:] == [["'=HYPERLINK(1)", "0042", "cleared"], ROWS[2]]
    assert {cell.data_type for row in cells for cell in row} == {"s"}
    assert book.active.freeze_panes == "B2"
