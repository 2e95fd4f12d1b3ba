"""Spreadsheets as a steward keeps them: own headings, own words, some bad lines. All invented."""

from datetime import UTC, date, datetime, timedelta
from io import BytesIO
from pathlib import Path

from openpyxl import Workbook, load_workbook

HEADINGS = (
    "Inv. no.", "Title", "Category", "Artist", "Dated", "Material", "Height cm", "Width cm",
    "Hazard", "Light sensitivity", "Basis", "Location", "Face", "Remarks",
)  # fmt: skip
KINDS = (
    ("printed book", "rag paper; leather", "Medium", "ff. 3v-4r", ""),
    ("broadside", "rag paper; printing ink", "Medium", "recto", ""),
    ("map", "rag paper", "Medium", "recto", ""),
    ("photograph", "gelatine silver", "High", "recto", ""),
    ("quilt", "silk; cotton", "High", "front", ""),
    ("instrument", "wood; brass", "Low", "front", "mercury (liquid): spill kit"),
    ("watercolour", "rag paper; watercolour", "High", "recto", ""),
    ("specimen sheet", "plant material", "Medium", "front", "sublimate (suspected): gloves"),
)
COUNT, BAD = 300, (17, 44, 199, 260)
TODAY = datetime.now(UTC).date()


def day(days: int) -> str:
    """A day so many days from today."""
    return (TODAY + timedelta(days=days)).isoformat()


#: Two exhibitions: one that hangs, one that is asked for next spring, or next autumn.
RUNNING = {
    "install_from": day(-86), "opens": day(-75), "closes": day(80), "deinstall_until": day(92),
}  # fmt: skip
TO_COME = {
    "install_from": day(110), "opens": day(115), "closes": day(208), "deinstall_until": day(214),
}  # fmt: skip


def number(n: int) -> str:
    return f"HCM.{1880 + n % 60}.{n}"


def line(n: int) -> list[str | float | date]:
    kind, material, light, face, hazard = KINDS[n % len(KINDS)]
    height, width = 12 + n % 40, 9.5 + n % 30
    return [
        number(n), f"Rain over Hollin Weir, no. {n}", kind, "", f"about {1790 + n % 90}", material,
        height, width, hazard, light, "by published category", f"Bay {n % 12 + 1}", face, "",
    ]  # fmt: skip


def collection(path: Path) -> Path:
    """Write 300 objects, every tenth with a second face; four of them can't be taken."""
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(HEADINGS)
    for n in range(1, COUNT + 1):
        row = line(n)
        if n == 17:
            row[6] = "about 30"
        elif n == 44:
            row[1] = ""
        elif n == 199:
            row[0] = date(1907, 3, 2)  # the spreadsheet has made a date of the number
        elif n == 260:
            row[8] = "poison!!"
        sheet.append(row)
        if n % 10 == 0:
            sheet.append([number(n), *[""] * 11, "back"])
    book.save(path)
    return path


def filled(table: bytes, path: Path) -> Path:
    """Fill the table that takes an exhibition over with forty objects; two lines have faults."""
    book = load_workbook(BytesIO(table))
    sheet = book.active
    assert sheet is not None
    hung = [n for n in range(1, COUNT) if n not in BAD][:40]
    for row, n in enumerate(hung, start=2):
        face = KINDS[n % len(KINDS)][3]
        values: dict[int, str | int] = {1: number(n), 3: face, 6: day(-77), 8: "none known"}
        values |= {10: 18000, 11: 23000, 12: 30000, 13: "lit hours so far at 40 to 65 lx"}
        if n == 7:
            values[6] = "last autumn"
        elif n == 10:
            values[1] = "HCM.1890.1O"  # a letter O
        for column, value in values.items():
            sheet.cell(row, column, value)
    book.save(path)
    return path
