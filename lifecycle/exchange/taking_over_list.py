"""A table of what hangs already, read line by line; bad cells are told with their line."""

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Final

from lifecycle.exchange.tables.known_columns import (
    Cells,
    KnownColumns,
    Taking,
    cells_typed,
    folded,
)
from lifecycle.exchange.tables.table import Table
from lifecycle.exchange.tables.typed import day, identifier, text, whole
from lifecycle.process.stages import Stage
from lifecycle.queries.display.taking_over_lines import TakenLine, stage_of

COLUMNS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "Object number": "as on record",
        "Title": "for your eyes; not read",
        "Face": "the one that is shown, by its label; empty where there is one alone",
        "Place": "its name, or its path as in the list of places",
        "Stage": "on display, mounting, ready or rehousing; empty: on display",
        "There since, at the earliest": "a day like 2026-03-14",
        "There since, at the latest": "empty where the day is known",
        "Last report": "its number and date, or: none known",
        "Scan": "the file name of its scan",
        "Light low": "lx·h so far, at least",
        "Light likely": "lx·h so far, probably",
        "Light high": "lx·h so far, at most",
        "Light estimated from": "how the three figures were come by",
        "Missing": "what is missing, parted by ; or: nothing. Empty: what no record shows",
        "Note": "anything else",
    }
)
"""The columns and what stands in them; the table to fill in carries both."""

NONE_KNOWN: Final = frozenset({"none", "none known", "no report known", "not known"})
NOTHING: Final = frozenset({"nothing", "none", "-"})


class UnreadableTakeOver(ValueError):
    """The table can't be read as a whole; the message says why in one sentence."""


KNOWN: Final = KnownColumns(COLUMNS, needed=("Object number",))
headings: Final = KNOWN.headings


def lines_of_table(table: Table, missing_words: Mapping[str, str]) -> list[TakenLine]:
    """Read every line with an object number; lines of empty positions are passed over.

    ``missing_words`` are the words of what can be missing, by code.

    :raises UnreadableTakeOver: without a column for the object number
    """
    if fault := KNOWN.fault_of(table):
        raise UnreadableTakeOver(fault)
    found = []
    for number, cells in KNOWN.lines_of(table):
        said = {name for name, cell in cells.items() if cell and name not in ("Place", "Title")}
        if said:
            found.append(_read(number, cells, missing_words))
    if not found:
        raise UnreadableTakeOver("No line of the table names an object.")
    return found


def line_typed(
    number: int, typed: Mapping[str, str], missing_words: Mapping[str, str]
) -> TakenLine:
    """Read one stored line again, from what was typed in it by column."""
    return _read(number, cells_typed(typed), missing_words)


def _read(line: int, cells: Cells, missing_words: Mapping[str, str]) -> TakenLine:
    take = Taking(cells)
    faults = take.faults

    def words(name: str, most: int = 200) -> str:
        return take(name, lambda cell: text(cell, most=most), "")

    number = take("Object number", identifier, "")
    if not number and not faults:
        faults.append("The line has no object number.")
    stage = stage_of(words("Stage")) if words("Stage") else Stage.ON_DISPLAY
    if stage is None:
        faults.append(f"“{words('Stage')}” is no stage at which an object is taken over.")
    report = words("Last report")
    low, likely, high = (take(f"Light {name}", whole, None) for name in ("low", "likely", "high"))
    if None in (low, likely, high) and "Light" not in " ".join(faults):
        faults.append("Light so far is given three times: low, likely and high.")
    return TakenLine(
        number=line,
        typed=take.typed(),
        object_number=number,
        face=words("Face", 80),
        place=words("Place", 400),
        stage=stage or Stage.ON_DISPLAY,
        since_from=take("There since, at the earliest", day, None),
        since_to=take("There since, at the latest", day, None),
        last_report="" if report.casefold() in NONE_KNOWN else report,
        scan=words("Scan"),
        light_low=low,
        light_likely=likely,
        light_high=high,
        light_basis=words("Light estimated from", 500),
        missing=_missing(words("Missing", 500), missing_words, faults),
        note=words("Note", 2000),
        faults=(*faults, *_report_faults(report)),
    )


def _report_faults(report: str) -> Sequence[str]:
    if report:
        return ()
    return ("Name the last report with its scan, or write: none known.",)


def _missing(said: str, known: Mapping[str, str], faults: list[str]) -> tuple[str, ...] | None:
    """Return the codes of what the line says is missing; None where it says nothing of it."""
    if not said:
        return None
    if said.casefold() in NOTHING:
        return ()
    by_words = {folded(words): code for code, words in known.items()} | {
        folded(code.replace("_", " ")): code for code in known
    }
    codes = []
    for part in said.split(";"):
        code = by_words.get(folded(part)) or _only_one(folded(part), by_words)
        if code is None:
            listed = "; ".join(known.values())
            faults.append(f"Missing: “{part.strip()}” is not in the list: {listed}.")
        else:
            codes.append(code)
    return tuple(dict.fromkeys(codes))


def _only_one(said: str, by_words: Mapping[str, str]) -> str | None:
    """Return the gap that alone has all these words, as “install check” means no signed one."""
    wanted = set(said.split()) - {"no"}
    found = {code for words, code in by_words.items() if wanted and wanted <= set(words.split())}
    return found.pop() if len(found) == 1 else None
