"""Lists as files: the same filters and rights as the page, in the same columns each time.

A list page asks ``wanted_file`` first; its address with ``as=csv`` or ``as=xlsx`` gives the file.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from django.http import HttpResponse
from django.utils.http import content_disposition_header
from django.utils.timezone import localtime

from lifecycle.exchange.tables.writing import UnwritableTable, Value, csv_bytes, xlsx_bytes
from lifecycle.pages.door import SignedInRequest

FileKind = Literal["csv", "xlsx"]
TYPES: Final[dict[FileKind, str]] = {
    "csv": "text/csv; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


@dataclass(frozen=True, slots=True)
class ListTable:
    """A list to be written: its name, its headings, its rows."""

    name: str
    headings: Sequence[str]
    rows: Iterable[Sequence[Value]]


def file_kind(request: SignedInRequest) -> FileKind | None:
    """Which file was asked for, if any."""
    asked = request.GET.get("as", "")
    return next((kind for kind in TYPES if kind == asked), None)


def most_shown(request: SignedInRequest, usual: int) -> int | None:
    """How many rows are read: a page stops somewhere, a file holds all."""
    return None if file_kind(request) else usual


def wanted_file(request: SignedInRequest, table: Callable[[], ListTable]) -> HttpResponse | None:
    """The list as the file that was asked for; None when it is a page that was asked for."""
    kind = file_kind(request)
    if kind is None:
        return None
    return as_file(table(), kind, f"{localtime(request.at):%Y-%m-%d}")


def as_file(table: ListTable, kind: FileKind, day: str = "") -> HttpResponse:
    """A table as a download; a text too long for a workbook is told, never cut."""
    rows = list(table.rows)
    try:
        data = (
            csv_bytes(table.headings, rows)
            if kind == "csv"
            else xlsx_bytes(table.headings, rows, table.name)
        )
    except UnwritableTable as bad:
        return HttpResponse(str(bad), status=400, content_type="text/plain; charset=utf-8")
    answer = HttpResponse(data, content_type=TYPES[kind])
    plain = "".join(letter if letter.isalnum() or letter in "-._" else " " for letter in table.name)
    name = "-".join(part for part in (*plain.split(), day) if part)
    answer["Content-Disposition"] = content_disposition_header(True, f"{name}.{kind}") or ""
    return answer
