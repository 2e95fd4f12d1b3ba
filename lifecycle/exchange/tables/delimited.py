"""CSV as it comes from real desks: four encodings, three separators, quoted or not."""

import codecs
import csv
import io
import re
import unicodedata
from typing import Final

from lifecycle.exchange.tables.laying_out import lay_out
from lifecycle.exchange.tables.table import (
    EMPTY,
    MOST_COLUMNS,
    MOST_LETTERS,
    MOST_LINES,
    Cell,
    Kind,
    Table,
    UnreadableTable,
)

SEPARATORS: Final = (",", ";", "\t")
_SAMPLE_LINES: Final = 30
_SAID_SEPARATOR = re.compile(r"\Asep=(.)\r?\n", re.IGNORECASE)
# What a control character would do to a page, a paper or a database is not worth finding out.
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")
#: Letters at the start of a cell that make a spreadsheet program compute (also in full width).
FORMULA_STARTS: Final = "=+-@＝＋－＠"
_GUARDED = re.compile(rf"'+\s*[{re.escape(FORMULA_STARTS)}]")


def read_delimited(data: bytes) -> Table:
    """Read a CSV; the row number counts records, as a spreadsheet program would number them."""
    text, notes = _decoded(data)
    said = _SAID_SEPARATOR.match(text)
    if said:
        separator, text = said.group(1), text[said.end() :]
    else:
        separator = _separator(text)
    rows: list[tuple[int, list[Cell]]] = []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    expected = 0
    try:
        for number, record in enumerate(reader, start=1):
            if number > MOST_LINES + 1000:
                raise UnreadableTable(
                    f"The table has more than {MOST_LINES:,} lines; bring it in as several tables."
                )
            if len(record) > MOST_COLUMNS:
                raise UnreadableTable(
                    f"Line {number} has {len(record)} columns; at most {MOST_COLUMNS} can be read. "
                    "Take out the columns that are not needed."
                )
            cells = [clean_cell(value, guarded=True) for value in record]
            expected = expected or (len(record) if any(cells) else 0)
            rows.append((number, _fitted(cells, expected)))
    except csv.Error as trouble:
        raise UnreadableTable(
            f"Line {reader.line_num} can't be read: a quotation mark is not closed, or something "
            f"follows one before the next separator ({trouble})."
        ) from trouble
    return lay_out(rows, notes=notes)


def clean_cell(value: str, *, guarded: bool = False) -> Cell:
    """Text of one cell: composed letters, no blanks around, no guard before a formula sign."""
    text = value
    if not text.isascii():
        text = unicodedata.normalize("NFC", text).replace("\u00a0", " ").replace("\ufeff", "")
    text = text.strip()
    if guarded and text[:1] == "'" and _GUARDED.match(text):
        text = text[1:]
    if not text:
        return EMPTY
    if _CONTROL.search(text):
        return Cell(
            _CONTROL.sub("", text), Kind.BROKEN, "The cell holds a character that can't be seen."
        )
    if len(text) > MOST_LETTERS:
        return Cell(text[:200], Kind.BROKEN, f"The cell holds {len(text):,} letters.")
    return Cell(text)


def _fitted(cells: list[Cell], expected: int) -> list[Cell]:
    """A line with more cells than its headings has a separator too many; say so, keep the text."""
    if expected and any(cells[expected:]):
        more = len(cells)
        last = cells[expected - 1]
        cells = cells[:expected]
        cells[-1] = Cell(
            last.text,
            Kind.BROKEN,
            f"The line has {more} cells where {expected} belong: "
            "a separator stands in a text without quotation marks.",
        )
    return cells


def _decoded(data: bytes) -> tuple[str, list[str]]:
    """Bytes to text: by its mark, else UTF-16 by its noughts, else UTF-8, else Windows-1252."""
    try:
        if data.startswith(codecs.BOM_UTF8):
            return data.decode("utf-8-sig"), []
        if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
            return data.decode("utf-16"), []
        head = data[:2000]
        if b"\0" in head:
            low, high = head[1::2].count(0), head[::2].count(0)
            return data.decode("utf-16-le" if low >= high else "utf-16-be"), []
    except UnicodeDecodeError as trouble:
        raise UnreadableTable(
            "The file says it is Unicode but breaks off in the middle of a letter; "
            "save it again as “CSV UTF-8”."
        ) from trouble
    try:
        return data.decode("utf-8"), []
    except UnicodeDecodeError:
        pass
    try:
        text = data.decode("cp1252")
    except UnicodeDecodeError as trouble:
        raise UnreadableTable(
            "The letters of this file can't be told: it is neither UTF-8, UTF-16 nor Windows-1252. "
            "Save it again as “CSV UTF-8”."
        ) from trouble
    return text, [
        "Read as Windows-1252, since it is not UTF-8: look whether letters with accents are right."
    ]


def _separator(text: str) -> str:
    """The separator under which the most lines are as wide as the first, and the widest."""
    lines = text.splitlines(keepends=True)[:_SAMPLE_LINES]
    best, best_score = ",", (0, 0)
    for separator in SEPARATORS:
        try:
            widths = [len(row) for row in csv.reader(lines, delimiter=separator) if any(row)]
        except csv.Error:
            continue
        if widths and max(widths) > 1:
            widest = max(widths)
            score = (sum(1 for width in widths if width == widths[0] > 1), widest)
            if score > best_score:
                best, best_score = separator, score
    return best
