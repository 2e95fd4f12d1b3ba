"""Rows to CSV and XLSX; nothing that was text becomes a formula when the file is opened.

How text is guarded. CSV has no types, so text that begins with a sign that starts a formula gets
an apostrophe before it, which spreadsheet programs show and do not compute; the reader takes
exactly one apostrophe off again, and text that began with apostrophes before such a sign gets one
more, so that every text comes back as it was. In XLSX such text is a cell of the type text with
the mark that a typed apostrophe leaves, so that it stays text when the cell is edited.
"""

import csv
import io
import re
from collections.abc import Iterable, Sequence
from datetime import date, datetime, time
from decimal import Decimal
from typing import Final

from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet._write_only import WriteOnlyWorksheet

from lifecycle.exchange.tables.delimited import FORMULA_STARTS
from lifecycle.exchange.tables.table import MOST_LETTERS

Value = str | int | Decimal | float | bool | date | None

_RISKY = re.compile(rf"\s*'*\s*[{re.escape(FORMULA_STARTS)}]")
_NOT_IN_A_SHEET_NAME = re.compile(r"[\[\]:*?/\\]")
_UNSEEN = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")
_WIDEST: Final = 48
_LOOK_AT: Final = 200


class UnwritableTable(Exception):
    """A value does not fit into a workbook; the message says which."""


def csv_bytes(headings: Sequence[str], rows: Iterable[Sequence[Value]]) -> bytes:
    """UTF-8 with a mark (so that spreadsheet programs read it so), commas, CRLF (RFC 4180)."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow([_guarded(heading) for heading in headings])
    for row in rows:
        writer.writerow([_plain(value) for value in row])
    return out.getvalue().encode("utf-8-sig")


def xlsx_bytes(headings: Sequence[str], rows: Iterable[Sequence[Value]], sheet: str) -> bytes:
    """One sheet, headings in bold and held in place; numbers and days keep their types."""
    book = Workbook(write_only=True)
    page = book.create_sheet(_NOT_IN_A_SHEET_NAME.sub(" ", sheet)[:31].strip() or "Table")
    page.freeze_panes = "A2"
    laid = [[_typed(value) for value in row] for row in rows]
    for n, heading in enumerate(headings):
        longest = max([len(heading), *(len(str(row[n] or "")) for row in laid[:_LOOK_AT])])
        page.column_dimensions[get_column_letter(n + 1)].width = min(longest + 2, _WIDEST)
    head = [WriteOnlyCell(page, heading) for heading in headings]
    for cell in head:
        cell.font = Font(bold=True)
        cell.data_type = "s"
    page.append(head)
    for row in laid:
        page.append([_safe(page, value) for value in row])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _plain(value: Value) -> str:
    match value:
        case None:
            return ""
        case bool():
            return "yes" if value else "no"
        case str():
            return _guarded(value)
        case datetime():
            return value.isoformat(timespec="minutes")
        case date():
            return value.isoformat()
        case Decimal():
            return f"{value:f}"
    return str(value)


def _guarded(text: str) -> str:
    return f"'{text.lstrip()}" if _RISKY.match(text) else text


def _typed(value: Value) -> str | int | float | date | None:
    match value:
        case bool():
            return "yes" if value else "no"
        case Decimal():
            return int(value) if value == value.to_integral_value() else float(value)
        case datetime():
            return value.isoformat(timespec="minutes")
        case str():
            if len(value) > MOST_LETTERS:
                raise UnwritableTable(
                    f"A text of {len(value):,} letters does not fit into a cell of a workbook; "
                    "take the table as CSV."
                )
            return _UNSEEN.sub("", value)
    return value


def _safe(page: WriteOnlyWorksheet, value: str | int | float | date | None) -> object:
    """Only what needs a mark becomes a cell object: bare values are written much faster."""
    if isinstance(value, str):
        if _RISKY.match(value):
            cell = WriteOnlyCell(page, value)
            cell.data_type, cell.quotePrefix = "s", True
            return cell
        return value
    if isinstance(value, date):
        cell = WriteOnlyCell(page, datetime.combine(value, time()))
        cell.number_format = "yyyy-mm-dd"
        return cell
    return value
