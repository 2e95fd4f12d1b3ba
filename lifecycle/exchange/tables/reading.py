"""Bytes of an uploaded file to a table: what it really is decides, never its name."""

from typing import Final

from lifecycle.exchange.tables.delimited import read_delimited
from lifecycle.exchange.tables.table import MOST_BYTES, Table, UnreadableTable
from lifecycle.exchange.tables.workbook import read_workbook

_SAVE_AS: Final = "save it as .xlsx or as “CSV UTF-8”"
_NOT_TABLES: Final = (
    (b"\xd0\xcf\x11\xe0", f"an old .xls workbook, or one locked by a password; {_SAVE_AS}"),
    (b"%PDF", "a PDF; bring the table it was made from"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"II*\0", "a picture"),
    (b"MM\0*", "a picture"),
    (b"RIFF", "a picture or a sound"),
    (b"{\\rtf", f"a text document; {_SAVE_AS}"),
    (b"Rar!", "a packed folder; unpack it first"),
    (b"7z\xbc\xaf", "a packed folder; unpack it first"),
    (b"\x1f\x8b", "a packed file; unpack it first"),
)
_WEB_PAGE_STARTS: Final = (b"<!doctype html", b"<html", b"<table", b"<?xml", b"<head", b"<body")


def read_table(data: bytes, name: str, *, sheet: str = "") -> Table:
    """Read a CSV or XLSX file.

    ``name`` is the file's name, for the refusal alone; ``sheet`` chooses a sheet of a workbook,
    else the first visible one with anything in it is read. Raises ``UnreadableTable``.
    """
    if not data.strip(b"\0 \r\n\t"):
        raise UnreadableTable(f"“{name}” is empty.")
    if len(data) > MOST_BYTES:
        raise UnreadableTable(
            f"“{name}” has {len(data) / 1e6:.0f} MB; at most {MOST_BYTES // 1_000_000} MB are "
            "read. Take out pictures and columns that are not needed."
        )
    for start, what in _NOT_TABLES:
        if data.startswith(start):
            raise UnreadableTable(f"“{name}” is not a table but {what}.")
    if data.startswith(b"PK"):
        return read_workbook(data, name, sheet=sheet)
    head = data[:512].lstrip(b"\xef\xbb\xbf \r\n\t").lower()
    if head.startswith(_WEB_PAGE_STARTS):
        raise UnreadableTable(f"“{name}” is not a table but a web page; open it and {_SAVE_AS}.")
    return read_delimited(data)
