"""Tables as real desks send them: what is read, what is told, and what is refused in words."""

import codecs
import zipfile
from datetime import date, datetime, time
from io import BytesIO
from typing import Any

import pytest
from openpyxl import Workbook
from openpyxl.utils.datetime import CALENDAR_MAC_1904

from lifecycle.exchange.tables import looking_inside, table
from lifecycle.exchange.tables.reading import read_table
from lifecycle.exchange.tables.table import Kind, Table, UnreadableTable

CSV = "Object number;Title\r\nHCM 1;Café at Dusk\r\nHCM 2;“Rain”, etched\r\n"


def saved(book: Workbook) -> bytes:
    out = BytesIO()
    book.save(out)
    return out.getvalue()


def workbook(*rows: list[Any]) -> Workbook:
    book = Workbook()
    assert book.active is not None
    for row in rows:
        book.active.append(row)
    return book


def texts(read: Table) -> list[list[str]]:
    return [[cell.text for cell in line.cells] for line in read.lines]


@pytest.mark.parametrize(
    "data",
    [
        CSV.encode("utf-8"),
        CSV.encode("utf-8-sig"),
        CSV.encode("utf-16"),
        codecs.BOM_UTF16_BE + CSV.encode("utf-16-be"),
        CSV.encode("utf-16-le"),
        CSV.encode("utf-16-be"),
        CSV.encode("cp1252"),
        CSV.replace(";", "\t").encode(),
        ("sep=;\r\n" + CSV).encode(),
        CSV.replace("“Rain”, etched", '"“Rain”, etched"').replace(";", ",").encode(),
    ],
)
def test_the_same_list_is_read_whatever_its_letters_and_separator(data: bytes) -> None:
    read = read_table(data, "list.csv")
    assert read.headings == ("Object number", "Title")
    assert texts(read) == [["HCM 1", "Café at Dusk"], ["HCM 2", "“Rain”, etched"]]
    assert [line.number for line in read.lines] == [2, 3]


def test_windows_letters_are_told_since_they_were_inferred() -> None:
    assert "Windows-1252" in read_table(CSV.encode("cp1252"), "list.csv").notes[0]
    assert read_table(CSV.encode(), "list.csv").notes == ()


def test_letters_composed_of_two_are_read_as_one() -> None:
    read = read_table("No,Title\n1,Cafe\u0301\n".encode(), "list.csv")
    assert texts(read) == [["1", "Caf\u00e9"]]


def test_a_list_of_one_column_is_a_table_too() -> None:
    read = read_table(b"Object number\nHCM 1\n\nHCM 2\n", "list.csv")
    assert texts(read) == [["HCM 1"], ["HCM 2"]]
    assert [line.number for line in read.lines] == [2, 4]


def test_a_line_with_a_separator_too_many_is_told_and_keeps_its_text() -> None:
    read = read_table(b"No,Title,Maker\n1,A,B\n2,Rain, by noon,C\n", "list.csv")
    assert read.lines[0].cells[2].trouble == ""
    assert "4 cells where 3 belong" in read.lines[1].cells[2].trouble


def test_cells_over_more_than_one_line_count_as_one_row() -> None:
    read = read_table(b'No,Title\n1,"Rain\nby noon"\n2,B\n', "list.csv")
    assert [(line.number, line.cells[1].text) for line in read.lines] == [
        (2, "Rain\nby noon"),
        (3, "B"),
    ]


def test_headings_below_a_title_are_found_and_told() -> None:
    read = read_table(b"Objects of the museum,,\n,,\nNo,Title,Maker\n1,A,B\n", "list.csv")
    assert read.headings == ("No", "Title", "Maker")
    assert "row 3" in read.notes[0]


def test_blank_and_doubled_headings_get_the_letters_of_their_column() -> None:
    read = read_table(b"No,Title,title,,\n1,A,B,C,\n", "list.csv")
    assert read.headings == ("No", "Title", "title (column C)", "column D")
    assert len(read.notes) == 2


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "is empty"),
        (b"\r\n \r\n", "is empty"),
        (b",,,\n,,\n", "no row"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600, "old .xls"),
        (b"\x89PNG\r\n\x1a\n" + b"\0" * 40, "picture"),
        (b"%PDF-1.7", "PDF"),
        (b"  <!DOCTYPE html><html><table>", "web page"),
        (b"<html xmlns:x='urn:x'><table>", "web page"),
        (b'No,Title\n1,"never closed\n2,B\n', "quotation mark"),
        (b"No,Title\n1,\x81\x8d\n", "letters of this file"),
        (codecs.BOM_UTF16_LE + b"N\0o", "middle of a letter"),
        (b"PK\x03\x04 broken", "damaged"),
        (b"a," * 500 + b"b\n", "columns"),
    ],
)
def test_what_is_no_table_is_refused_in_a_sentence(data: bytes, says: str) -> None:
    with pytest.raises(UnreadableTable, match=says):
        read_table(data, "list.csv")


def test_a_packed_file_that_is_no_workbook_is_refused() -> None:
    out = BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        packed.writestr("word/document.xml", "<w/>")
    with pytest.raises(UnreadableTable, match=r"no \.xlsx"):
        read_table(out.getvalue(), "letter.xlsx")


def test_dates_times_numbers_and_truth_of_a_workbook_become_plain_words() -> None:
    book = workbook(
        ["a", "b", "c", "d", "e", "f"],
        [
            date(2027, 3, 12),
            datetime.fromisoformat("2027-03-12T09:30"),
            time(9, 30),
            60.5,
            1908,
            True,
        ],
    )
    read = read_table(saved(book), "list.xlsx")
    assert texts(read) == [["2027-03-12", "2027-03-12T09:30", "09:30", "60.5", "1908", "yes"]]
    assert [cell.kind for cell in read.lines[0].cells] == [
        *(Kind.DAY, Kind.DAY, Kind.TIME, Kind.NUMBER, Kind.NUMBER, Kind.TRUTH)
    ]
    assert not any(cell.trouble for cell in read.lines[0].cells)


def test_a_workbook_that_counts_days_from_1904_gives_the_same_days() -> None:
    book = workbook(["day", "more"], [date(2027, 3, 12), date(1908, 12, 1)])
    since_1900 = read_table(saved(book), "list.xlsx")
    book.epoch = CALENDAR_MAC_1904
    since_1904 = saved(book)
    assert b"date1904" in zipfile.ZipFile(BytesIO(since_1904)).read("xl/workbook.xml")
    assert texts(read_table(since_1904, "list.xlsx")) == texts(since_1900)
    assert texts(since_1900) == [["2027-03-12", "1908-12-01"]]


def test_noughts_that_the_cell_shows_are_kept() -> None:
    book = workbook(["a", "b", "c"], [123, 1908.1, 60.55], [7, 1, 2])
    assert book.active is not None
    book.active["A2"].number_format = "00000"
    book.active["B2"].number_format = "0.00"
    book.active["C2"].number_format = "0.0"  # shows 60.6, which is not what is kept
    assert texts(read_table(saved(book), "list.xlsx"))[0] == ["00123", "1908.10", "60.55"]


def test_a_number_longer_than_a_workbook_keeps_is_told() -> None:
    read = read_table(saved(workbook(["a", "b"], [1908120000000001, "x"])), "list.xlsx")
    assert "last digits are lost" in read.lines[0].cells[0].trouble


def test_error_values_are_told_and_not_read_as_empty() -> None:
    book = workbook(["a", "b"], ["x", "#N/A"], ["y", "z"])
    assert book.active is not None
    book.active["B2"].data_type = "e"
    read = read_table(saved(book), "list.xlsx")
    assert "B2 holds an error" in read.lines[0].cells[1].trouble
    assert not read.lines[1].cells[1].trouble


def with_sheet(book: Workbook, old: bytes, new: bytes) -> bytes:
    """The workbook with its first sheet's text changed, as another program would have saved it."""
    out = BytesIO()
    with zipfile.ZipFile(BytesIO(saved(book))) as given, zipfile.ZipFile(out, "w") as made:
        for entry in given.infolist():
            text = given.read(entry)
            if entry.filename == "xl/worksheets/sheet1.xml":
                assert old in text
                text = text.replace(old, new)
            made.writestr(entry.filename, text)
    return out.getvalue()


def test_a_formula_gives_its_stored_result_and_says_when_there_is_none() -> None:
    book = workbook(["a", "b"], ["x", "=1+1"], ["y", 2])
    read = read_table(saved(book), "list.xlsx")
    assert "B2 holds a formula without a stored result" in read.lines[0].cells[1].trouble
    counted = with_sheet(book, b"<f>1+1</f><v />", b"<f>1+1</f><v>2</v>")
    assert texts(read_table(counted, "list.xlsx")) == [["x", "2"], ["y", "2"]]
    worded = with_sheet(book, b'<c r="B2"><f>1+1</f><v />', b'<c r="B2" t="str"><f>""</f><v></v>')
    assert texts(read_table(worded, "list.xlsx"))[0] == ["x", ""]
    assert read_table(worded, "list.xlsx").lines[0].cells[1].trouble == ""


def test_cells_merged_downwards_hold_for_each_row_and_sideways_are_not_guessed() -> None:
    book = workbook(
        ["No", "Face", "Note"], ["HCM 1", "front", "a"], [None, "back", "b"], ["HCM 2", "x", None]
    )
    assert book.active is not None
    book.active.merge_cells("A2:A3")
    book.active.merge_cells("B4:C4")
    read = read_table(saved(book), "list.xlsx")
    assert texts(read)[1] == ["HCM 1", "back", "b"]
    assert "merged across" in read.lines[2].cells[1].trouble
    assert any("merged downwards" in note for note in read.notes)


def test_sheets_are_chosen_by_name_and_hidden_ones_left_out() -> None:
    book = workbook()
    book.create_sheet("Objects").append(["No", "Title"])
    book.create_sheet("Places").append(["Code", "Name"])
    secret = book.create_sheet("Values")
    secret.append(["x", "y"])
    secret.sheet_state = "hidden"
    read = read_table(saved(book), "list.xlsx")
    assert read.sheet == "Objects"
    assert read.sheets == ("Sheet", "Objects", "Places")
    assert any("Values" in note for note in read.notes)
    assert any("“Places”" in note for note in read.notes)
    assert read_table(saved(book), "list.xlsx", sheet="Places").headings == ("Code", "Name")
    with pytest.raises(UnreadableTable, match="no visible sheet “Values”"):
        read_table(saved(book), "list.xlsx", sheet="Values")


def test_two_hundred_columns_and_formatted_rows_below_the_table_are_read_as_they_are() -> None:
    book = workbook([f"h{n}" for n in range(200)], list(range(200)))
    assert book.active is not None
    for row in range(3, 400):
        book.active.cell(row, 1).number_format = "0.00"
    read = read_table(saved(book), "list.xlsx")
    assert len(read.headings) == 200
    assert len(read.lines) == 1


def test_a_cell_far_away_is_refused_before_it_is_laid_out() -> None:
    book = workbook(["a", "b"], [1, 2])
    assert book.active is not None
    book.active["B1048576"] = "x"
    with pytest.raises(UnreadableTable, match="below row"):
        read_table(saved(book), "list.xlsx")
    book = workbook(["a", "b"], [1, 2])
    assert book.active is not None
    book.active["XFD2"] = "x"
    with pytest.raises(UnreadableTable, match="right of column"):
        read_table(saved(book), "list.xlsx")


def test_a_workbook_that_unpacks_beyond_measure_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(looking_inside, "MOST_UNPACKED", 20_000)
    book = saved(workbook(["a", "b"], *[["same", "same"]] * 2000))
    assert len(book) < 20_000
    with pytest.raises(UnreadableTable, match="unpacks to more"):
        read_table(book, "list.xlsx")


def test_a_header_that_lies_about_its_size_is_no_way_round_the_limit() -> None:
    out = BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/workbook.xml", "<workbook/>")
        packed.writestr("xl/big.xml", b"0" * 1_000_000)
    bomb = out.getvalue().replace((1_000_000).to_bytes(4, "little"), (10).to_bytes(4, "little"))
    with pytest.raises(UnreadableTable, match="damaged"):
        read_table(bomb, "list.xlsx")


def test_entities_in_a_workbook_are_refused() -> None:
    out = BytesIO()
    plain = BytesIO(saved(workbook(["a", "b"])))
    with zipfile.ZipFile(plain) as given, zipfile.ZipFile(out, "w") as made:
        for entry in given.infolist():
            text = given.read(entry)
            if entry.filename == "xl/workbook.xml":
                text = b'<!DOCTYPE x [<!ENTITY a "b">]>' + text
            made.writestr(entry.filename, text)
    with pytest.raises(UnreadableTable):
        read_table(out.getvalue(), "list.xlsx")


def test_a_file_that_is_too_big_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("lifecycle.exchange.tables.reading.MOST_BYTES", 10)
    with pytest.raises(UnreadableTable, match="at most"):
        read_table(CSV.encode(), "list.csv")
    monkeypatch.undo()
    monkeypatch.setattr("lifecycle.exchange.tables.laying_out.MOST_LINES", 1)
    with pytest.raises(UnreadableTable, match="more than 1 lines"):
        read_table(CSV.encode(), "list.csv")
    assert table.MOST_LINES > 20_000


def test_letters_that_cannot_be_seen_are_told() -> None:
    read = read_table(b"No,Title\n1,Ra\x07in\n", "list.csv")
    assert "can't be seen" in read.lines[0].cells[1].trouble
