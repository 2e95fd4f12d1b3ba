"""Tables out and in again: every text comes back as it was, none becomes a formula."""

import csv
import io
import unicodedata
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from lifecycle.exchange.tables import typed
from lifecycle.exchange.tables.reading import read_table
from lifecycle.exchange.tables.table import Cell, Kind
from lifecycle.exchange.tables.typed import BadCell
from lifecycle.exchange.tables.writing import UnwritableTable, Value, csv_bytes, xlsx_bytes

RISKY = ["=1+1", "+44 1", "-", "@all", "'=x", "''=x", "'tis", "＝1", '=HYPERLINK("http://a")']


def test_no_cell_of_a_csv_begins_with_a_sign_that_computes() -> None:
    written = csv_bytes(["a", "b"], [[text, "x"] for text in RISKY]).decode("utf-8-sig")
    for row in list(csv.reader(io.StringIO(written)))[1:]:
        assert row[0][0] not in "=+-@＝＋－＠\t\r"


def test_no_cell_of_a_workbook_is_a_formula() -> None:
    book = load_workbook(io.BytesIO(xlsx_bytes(["=a", "b"], [[t, "x"] for t in RISKY], "S")))
    assert book.active is not None
    cells = [cell for row in book.active.iter_rows() for cell in row]
    assert {cell.data_type for cell in cells} == {"s"}
    assert [row[0].value for row in book.active.iter_rows(min_row=2)] == RISKY
    assert book.active["A2"].quotePrefix


readable = st.text(
    st.characters(exclude_categories=["Cs", "Cc"], exclude_characters="\u00a0\ufeff"), max_size=12
)
cells = st.one_of(readable, st.sampled_from(RISKY), st.text("'=+-@ ab", max_size=6))


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(cells, cells), min_size=1, max_size=4))
def test_every_text_comes_back_as_it_was(rows: list[tuple[str, str]]) -> None:
    wanted = [[typed_text(value) for value in row] for row in rows]
    wanted = [row for row in wanted if any(row)]
    for data in (
        csv_bytes(["a", "b"], rows),
        xlsx_bytes(["a", "b"], rows, "List"),
    ):
        read = read_table(data, "list")
        assert [[cell.text for cell in line.cells] for line in read.lines] == wanted


def typed_text(value: str) -> str:
    return unicodedata.normalize("NFC", value).strip()


def test_numbers_days_and_truth_keep_their_kind_in_a_workbook() -> None:
    row: list[Value] = [Decimal("60.5"), 7, date(2027, 3, 12), True, None, "0012"]
    read = read_table(xlsx_bytes(list("abcdef"), [row], "List"), "list.xlsx").lines[0].cells
    assert [cell.text for cell in read] == ["60.5", "7", "2027-03-12", "yes", "", "0012"]
    assert [cell.kind for cell in read] == [
        *(Kind.NUMBER, Kind.NUMBER, Kind.DAY, Kind.TEXT, Kind.EMPTY, Kind.TEXT)
    ]
    read = read_table(csv_bytes(list("abcdef"), [row]), "list.csv").lines[0].cells
    assert [cell.text for cell in read] == ["60.5", "7", "2027-03-12", "yes", "", "0012"]


def test_a_text_too_long_for_a_workbook_is_never_cut_in_silence() -> None:
    with pytest.raises(UnwritableTable, match="take the table as CSV"):
        xlsx_bytes(["a"], [["x" * 40_000]], "List")


@pytest.mark.parametrize(
    ("cell", "number"),
    [
        (Cell("HCM  1908.10"), "HCM 1908.10"),
        (Cell("1908", Kind.NUMBER), "1908"),
        (Cell("00123", Kind.NUMBER), "00123"),
    ],
)
def test_a_number_is_taken_as_it_is_marked(cell: Cell, number: str) -> None:
    assert typed.identifier(cell) == number


@pytest.mark.parametrize(
    ("cell", "says"),
    [
        (Cell("1908.1", Kind.NUMBER), "noughts at its end"),
        (Cell("1908-12-01", Kind.DAY), "made a date"),
        (Cell("09:30", Kind.TIME), "made a date"),
        (Cell("yes", Kind.TRUTH), "TRUE or FALSE"),
        (Cell("", Kind.BROKEN, "Cell B2 holds an error."), "B2"),
        (Cell("x" * 61), "60 fit"),
    ],
)
def test_a_number_the_workbook_may_have_changed_is_refused(cell: Cell, says: str) -> None:
    with pytest.raises(BadCell, match=says):
        typed.identifier(cell)


@pytest.mark.parametrize(
    ("text", "millimetres"),
    [
        *(("60", "60"), ("60.5", "60.5"), ("60,5", "60.5"), ("6.5 cm", "65"), ("1.2 m", "1200")),
        *(("1.234,5", "1234.5"), ("1,234.5 mm", "1234.5"), ("1 234", "1234"), ("0,125", "0.125")),
    ],
)
def test_lengths_are_read_with_either_decimal_sign_and_their_unit(
    text: str, millimetres: str
) -> None:
    assert typed.quantity(Cell(text), typed.MILLIMETRES) == Decimal(millimetres)


@pytest.mark.parametrize("text", ["1,234", "12 in", "tall", "1,2,3.4.5", "", "10 x 20"])
def test_lengths_that_can_be_read_in_two_ways_are_asked_back(text: str) -> None:
    with pytest.raises(BadCell):
        typed.quantity(Cell(text), typed.MILLIMETRES)


@pytest.mark.parametrize(
    "text",
    ["2027-03-12", "12.3.2027", "12. 03. 2027", "12 March 2027", "12 mar 2027", "2027-03-12T09:30"],
)
def test_days_are_read_in_the_ways_people_write_them(text: str) -> None:
    assert typed.day(Cell(text)) == date(2027, 3, 12)


def test_slashes_are_read_only_where_day_and_month_cannot_be_mixed_up() -> None:
    assert typed.day(Cell("25/03/2027")) == typed.day(Cell("03/25/2027")) == date(2027, 3, 25)
    for text in ("12/03/2027", "30.2.2027", "12.3.27", "2027"):
        with pytest.raises(BadCell):
            typed.day(Cell(text))
    with pytest.raises(BadCell, match="no date"):
        typed.day(Cell("46093", Kind.NUMBER))


def test_yes_and_no_are_the_only_truths() -> None:
    assert typed.truth(Cell("Yes"))
    assert not typed.truth(Cell("no"))
    with pytest.raises(BadCell):
        typed.truth(Cell("perhaps"))
    with pytest.raises(BadCell):
        typed.whole(Cell("1.5"))
