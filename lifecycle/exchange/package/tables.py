"""Tables of a package: CSV after RFC 4180 in UTF-8, and one JSON object a line beside it."""

import csv
import io
import json
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

from lifecycle.exchange.package.bag import payload_file
from lifecycle.exchange.tables.delimited import FORMULA_STARTS

DICTIONARY: Final = "tables/DATA-DICTIONARY.csv"
DICTIONARY_HEAD: Final = ("table", "column", "meaning", "unit", "type", "allowed words")
CLOSED_LISTS: Final = "tables/CLOSED-LISTS.csv"
CLOSED_HEAD: Final = ("table", "column", "word", "kept as", "definition")
DIGESTS: Final = "DIGESTS.csv"
DIGESTS_HEAD: Final = (
    "what was signed or printed",
    "at the foot of the paper",
    "SHA-256",
    "file that gives this digest",
    "PDF of the paper",
)
HISTORY_HEAD: Final = ("lasting mark", "record", "when", "who", "role", "reason", "what changed")

Line = Callable[[Iterable[str]], object]
_RISKY: Final = re.compile(rf"\s*'*\s*[{re.escape(FORMULA_STARTS)}]")
_NUMBER: Final = re.compile(r"-?[0-9]+(\.[0-9]+)?")


def guarded(text: str) -> str:
    """Put an apostrophe before text that a spreadsheet would compute; numbers stay numbers."""
    return f"'{text}" if _RISKY.match(text) and not _NUMBER.fullmatch(text) else text


@contextmanager
def csv_table(folder: Path, name: str, head: Sequence[str]) -> Iterator[Line]:
    """Write one table line by line; the file takes its name when it is whole."""
    with payload_file(folder, name) as raw:
        out = io.TextIOWrapper(raw, encoding="utf-8", newline="")
        write = csv.writer(out, lineterminator="\r\n").writerow
        write(head)
        yield lambda values: write([guarded(value) for value in values])
        out.detach()


@contextmanager
def json_lines(folder: Path, name: str) -> Iterator[Callable[[Mapping[str, Any]], object]]:
    """Write one JSON object a line (RFC 8259); the file takes its name when it is whole."""
    with payload_file(folder, name) as raw:
        yield lambda values: raw.write(json.dumps(values, ensure_ascii=False).encode() + b"\n")
