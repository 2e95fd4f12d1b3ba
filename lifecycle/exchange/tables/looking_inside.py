"""Look into a workbook's own text for what its reader passes over in silence.

The fast reader gives an error value, and a formula without a stored result, as an empty cell; it
does not tell how a number is shown; and it lays out every cell from the first to the last,
however far apart. So the parts are measured first, and those cells are found by their marks.
Structure: ECMA-376 part 1, SpreadsheetML.
"""

import re
import zipfile
from dataclasses import dataclass, field
from io import BytesIO
from typing import Final
from xml.etree import ElementTree as ET

from lifecycle.exchange.tables.table import MOST_COLUMNS, MOST_LINES, UnreadableTable

MOST_UNPACKED: Final = 300_000_000
MOST_PARTS: Final = 3_000
# Formats that Excel itself keeps for “0.00”; the others stand in the workbook's own list.
_BUILT_IN: Final = {1: "0", 2: "0.00"}
_PADDED = re.compile(r"0{2,}|0\.0+")
_TAG: Final = rb"<(?:\w+:)?"
_ADDRESS = re.compile(rb'\sr="([A-Z]{1,3})(\d{1,7})"')
_STYLE = re.compile(rb'\ss="(\d+)"')
_FAULTY = re.compile(_TAG + rb'c(\s[^<>]{0,200}?\bt="e"[^<>]{0,200})>')
_FORMULA = re.compile(
    _TAG + rb"c(\s[^<>]{0,400})>\s*" + _TAG + rb"f\b[^<>]*?(?:/>|>[^<]*</(?:\w+:)?f>)\s*"
    rb"(?:" + _TAG + rb"v>([^<]*)<|)"
)
_COLUMN = re.compile(_TAG + rb'c\s[^<>]{0,200}?\br="([A-Z]{1,3})\d')
_ROW = re.compile(_TAG + rb'c\s[^<>]{0,200}?\br="[A-Z]{1,3}(\d{6,})')
_STYLED = re.compile(_TAG + rb'c(\s[^<>]{0,200}?\bs="\d+"[^<>]{0,200})>')

Spot = tuple[int, int]  # row and column, both from 0


@dataclass(slots=True)
class Inside:
    """Cells that need a word: by row and column from 0."""

    faulty: set[Spot] = field(default_factory=set)
    uncounted: set[Spot] = field(default_factory=set)
    shown_as: dict[Spot, str] = field(default_factory=dict)


class Parts:
    """The parts of a workbook, unpacked within limits; nothing is trusted that a header says."""

    def __init__(self, data: bytes, name: str) -> None:
        self.name = name
        try:
            self._zip = zipfile.ZipFile(BytesIO(data))
            self._measure()
        except (zipfile.BadZipFile, EOFError, NotImplementedError, RuntimeError, OSError) as bad:
            raise UnreadableTable(
                f"“{name}” is damaged, or no workbook: it breaks off while being unpacked."
            ) from bad

    def _measure(self) -> None:
        entries = self._zip.infolist()
        names = [entry.filename for entry in entries]
        if len(entries) > MOST_PARTS or len(set(names)) != len(names):
            raise UnreadableTable(f"“{self.name}” has too many parts for a workbook.")
        if "xl/workbook.bin" in names:
            raise UnreadableTable(f"“{self.name}” is a binary workbook; save it as .xlsx.")
        if "xl/workbook.xml" not in names:
            raise UnreadableTable(
                f"“{self.name}” is a packed file, but no .xlsx workbook; save the table as .xlsx."
            )
        if sum(entry.file_size for entry in entries) > MOST_UNPACKED:
            raise UnreadableTable(self._too_big())
        unpacked = 0
        for entry in entries:
            with self._zip.open(entry) as part:
                while piece := part.read(1 << 20):
                    unpacked += len(piece)
                    if unpacked > MOST_UNPACKED:
                        raise UnreadableTable(self._too_big())

    def _too_big(self) -> str:
        return (
            f"“{self.name}” unpacks to more than {MOST_UNPACKED // 1_000_000} MB; "
            "take out pictures and sheets that are not needed."
        )

    def text(self, part: str) -> bytes:
        """One part as bytes; empty when the workbook has no such part."""
        try:
            return self._zip.read(part)
        except KeyError:
            return b""

    def tree(self, part: str) -> ET.Element:
        """One part as a tree; a part that declares entities of its own is refused."""
        text = self.text(part)
        if b"<!DOCTYPE" in text or b"<!ENTITY" in text:
            raise UnreadableTable(f"“{self.name}” holds declarations no workbook needs.")
        try:
            return ET.fromstring(text or b"<none/>")  # noqa: S314 - no entities, size is bounded
        except ET.ParseError as bad:
            raise UnreadableTable(f"“{self.name}” is damaged: its list of parts is bad.") from bad

    def part_of_sheet(self, sheet: str) -> str:
        """The part that holds a sheet, by the workbook's own lists."""
        link = next(
            (
                value
                for element in self.tree("xl/workbook.xml").iter()
                if _plain(element.tag) == "sheet" and element.get("name") == sheet
                for key, value in element.attrib.items()
                if _plain(key) == "id" and key.startswith("{")
            ),
            "",
        )
        for element in self.tree("xl/_rels/workbook.xml.rels").iter():
            if _plain(element.tag) == "Relationship" and element.get("Id") == link:
                target = element.get("Target", "")
                return target.lstrip("/") if target.startswith("/") else f"xl/{target}"
        return ""

    def padded_styles(self) -> dict[int, str]:
        """Style number to format, for formats that show noughts a bare number has lost."""
        tree = self.tree("xl/styles.xml")
        formats = dict(_BUILT_IN)
        for element in tree.iter():
            if _plain(element.tag) == "numFmt":
                formats[int(element.get("numFmtId", "0"))] = element.get("formatCode", "")
        cell_styles = next((e for e in tree.iter() if _plain(e.tag) == "cellXfs"), None)
        found = {}
        for n, style in enumerate(cell_styles if cell_styles is not None else ()):
            code = formats.get(int(style.get("numFmtId", "0")), "")
            if _PADDED.fullmatch(code):
                found[n] = code
        return found

    def look(self, sheet: str) -> Inside:
        """Find the cells of a sheet that need a word; refuse cells too far out to be meant."""
        text = self.text(self.part_of_sheet(sheet))
        if not text:
            raise UnreadableTable(f"“{self.name}” has no sheet “{sheet}”.")
        if any(int(row) > MOST_LINES + 1000 for row in _ROW.findall(text)):
            raise UnreadableTable(
                f"A cell of “{sheet}” stands below row {MOST_LINES:,}; delete the rows below "
                "your table and save it again."
            )
        columns = set(_COLUMN.findall(text))
        if any(_column(letters) >= MOST_COLUMNS for letters in columns):
            raise UnreadableTable(
                f"A cell of “{sheet}” stands right of column {MOST_COLUMNS}; delete the columns "
                "that are not needed and save it again."
            )
        inside = Inside()
        for attributes in _FAULTY.findall(text):
            inside.faulty.add(self._spot(attributes))
        for attributes, value in _FORMULA.findall(text):
            # A formula whose result is the empty text says so by its type.
            if not value and b't="str"' not in attributes and b't="e"' not in attributes:
                inside.uncounted.add(self._spot(attributes))
        padded = {str(n).encode(): code for n, code in self.padded_styles().items()}
        if padded:
            for attributes in _STYLED.findall(text):
                style = _STYLE.search(attributes)
                if style and style.group(1) in padded:
                    inside.shown_as[self._spot(attributes)] = padded[style.group(1)]
        return inside

    def _spot(self, attributes: bytes) -> Spot:
        address = _ADDRESS.search(attributes)
        if address is None:
            raise UnreadableTable(
                f"“{self.name}” was written without cell addresses; open it in a spreadsheet "
                "program and save it again."
            )
        return int(address.group(2)) - 1, _column(address.group(1))


def _plain(tag: str) -> str:
    return tag.rpartition("}")[2]


def _column(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number - 1
