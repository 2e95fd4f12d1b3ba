"""XLSX workbooks with Excel's own traps told: dates, lost noughts, merged and broken cells."""

from datetime import date, datetime, time, timedelta
from io import BytesIO
from typing import Final

from python_calamine import (
    CalamineError,
    CalamineSheet,
    CalamineWorkbook,
    SheetTypeEnum,
    SheetVisibleEnum,
)

from lifecycle.exchange.tables.delimited import clean_cell
from lifecycle.exchange.tables.laying_out import lay_out
from lifecycle.exchange.tables.looking_inside import Inside, Parts, Spot
from lifecycle.exchange.tables.table import (
    EMPTY,
    Cell,
    Kind,
    Table,
    UnreadableTable,
    column_letters,
)

# A workbook keeps 15 significant digits; beyond them a number is not what was typed.
_EXACT_BELOW: Final = 1e15


def read_workbook(data: bytes, name: str, *, sheet: str = "") -> Table:
    """Read one sheet: the named one, else the first visible sheet that holds anything."""
    parts = Parts(data, name)
    try:
        book = CalamineWorkbook.from_filelike(BytesIO(data))
        shown = [
            about.name
            for about in book.sheets_metadata
            if about.typ == SheetTypeEnum.WorkSheet and about.visible == SheetVisibleEnum.Visible
        ]
        hidden = [
            about.name
            for about in book.sheets_metadata
            if about.typ == SheetTypeEnum.WorkSheet and about.visible != SheetVisibleEnum.Visible
        ]
        notes = []
        if hidden:
            notes.append(f"Hidden sheets are left out: {', '.join(hidden)}.")
        if sheet and sheet not in shown:
            raise UnreadableTable(
                f"“{name}” has no visible sheet “{sheet}”; it has {_listed(shown)}."
            )
        for choice in [sheet] if sheet else shown:
            inside = parts.look(choice)
            laid = book.get_sheet_by_name(choice)
            if laid.end is None and not inside.faulty and not inside.uncounted:
                continue
            if len(shown) > 1:
                others = [other for other in shown if other != choice]
                notes.append(f"Read from sheet “{choice}”; there is also {_listed(others)}.")
            rows = _rows(laid, inside, notes)
            return lay_out(rows, sheet=choice, sheets=tuple(shown), notes=notes)
    except CalamineError as bad:
        raise UnreadableTable(
            f"“{name}” is damaged, locked by a password, or no .xlsx workbook ({bad})."
        ) from bad
    raise UnreadableTable(f"“{name}” has no visible sheet with anything in it.")


def _listed(names: list[str]) -> str:
    return ", ".join(f"“{name}”" for name in names) or "none"


def _rows(sheet: CalamineSheet, inside: Inside, notes: list[str]) -> list[tuple[int, list[Cell]]]:
    values = sheet.to_python(skip_empty_area=False)
    far = inside.faulty | inside.uncounted
    depth = max([len(values), *(row + 1 for row, _ in far)])
    breadth = max([len(values[0]) if values else 0, *(column + 1 for _, column in far)])
    rows = [[*map(_cell, given), *[EMPTY] * (breadth - len(given))] for given in values]
    rows += [[EMPTY] * breadth for _ in range(depth - len(rows))]
    for row, column in inside.faulty:
        rows[row][column] = Cell(
            "", Kind.BROKEN, f"Cell {_address((row, column))} holds an error of the workbook."
        )
    for row, column in inside.uncounted:
        rows[row][column] = Cell(
            "",
            Kind.BROKEN,
            f"Cell {_address((row, column))} holds a formula without a stored result; open the "
            "workbook in a spreadsheet program, save it and bring it again.",
        )
    for (row, column), code in inside.shown_as.items():
        if row < len(values) and column < len(values[row]):
            rows[row][column] = _as_shown(rows[row][column], code)
    _spread_merged(rows, sheet.merged_cell_ranges or [], notes)
    return [(number, cells) for number, cells in enumerate(rows, start=1)]


def _cell(value: object) -> Cell:
    match value:
        case "":
            return EMPTY
        case str():
            return clean_cell(value)
        case bool():
            return Cell("yes" if value else "no", Kind.TRUTH)
        case int() | float():
            return _number(float(value))
        case datetime():
            if value.time() == time():
                return Cell(value.date().isoformat(), Kind.DAY)
            return Cell(value.isoformat(timespec="minutes"), Kind.DAY)
        case date():
            return Cell(value.isoformat(), Kind.DAY)
        case time():
            return Cell(value.isoformat(timespec="minutes"), Kind.TIME)
        case timedelta():
            minutes = round(value.total_seconds() / 60)
            return Cell(f"{minutes // 60}:{minutes % 60:02}", Kind.TIME)
    return Cell(str(value), Kind.BROKEN, "The cell holds something that can't be read.")


def _number(value: float) -> Cell:
    if abs(value) >= _EXACT_BELOW:
        return Cell(
            f"{value:.0f}",
            Kind.BROKEN,
            "The number is longer than a workbook can keep; its last digits are lost. "
            "Make the cell text and type it again.",
        )
    text = f"{value:.15g}"
    if "e" in text:
        text = f"{value:.20f}".rstrip("0")
    return Cell(text, Kind.NUMBER)


def _as_shown(cell: Cell, code: str) -> Cell:
    """Give back the noughts that the cell shows (00123, 1908.10), if nothing else is rounded."""
    if cell.kind is not Kind.NUMBER:
        return cell
    value = float(cell.text)
    whole, _, decimals = code.partition(".")
    shown = f"{value:.{len(decimals)}f}"
    if not decimals:
        shown = shown.zfill(len(whole))
    return Cell(shown, Kind.NUMBER) if float(shown) == value else cell


def _spread_merged(
    rows: list[list[Cell]], merged: list[tuple[Spot, Spot]], notes: list[str]
) -> None:
    """A cell merged downwards holds for each of its rows; one merged sideways is not guessed."""
    down = 0
    for (top, left), (bottom, right) in merged:
        if top >= len(rows) or left >= len(rows[top]) or not rows[top][left]:
            continue
        first = rows[top][left]
        if right > left:
            rows[top][left] = Cell(
                first.text,
                Kind.BROKEN,
                f"Cells {_address((top, left))} to {_address((bottom, right))} are merged across "
                "columns; part them, so that it is plain which column is meant.",
            )
        for row in range(top + 1, min(bottom, len(rows) - 1) + 1):
            rows[row][left] = rows[top][left]
            down += 1
    if down:
        notes.append("Cells merged downwards are read as written in each of their rows.")


def _address(spot: Spot) -> str:
    return f"{column_letters(spot[1])}{spot[0] + 1}"
