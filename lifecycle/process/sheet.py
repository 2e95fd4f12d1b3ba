"""The process as tables, for the handbook and the help page, so that neither can drift."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final

from lifecycle.process.moves import MOVES
from lifecycle.process.own_words import OWN_WORDS
from lifecycle.process.readiness import READY_GATES
from lifecycle.process.rights import OWN, RIGHTS
from lifecycle.process.stages import CLOSED, Role, Stage
from lifecycle.process.switches import ALWAYS, SWITCHED
from lifecycle.process.waivers import WAIVABLE

Row = tuple[str, ...]

SHEET_HEADS: Final = {
    "Stages": ("Stage", "Open or end", "Moves from here"),
    "Moves": ("Move", "From", "To", "By", "Only when"),
    "Readiness": ("Gate", "Word", "Done when", "Needed"),
    "What can be left out": ("Gate", "Why", "Reasons that go with it"),
    "Waivers": ("Reason", "Waived by", "Must name its end", "Kind"),
    "Rights": ("Deed", *(role.label for role in Role)),
    "Words": ("Word", "Meaning here"),
}


@dataclass(frozen=True, slots=True)
class SheetTable:
    """One table of the sheet; the first cell of a row names it."""

    title: str
    heads: Row
    rows: tuple[Row, ...]

    @property
    def labelled(self) -> list[list[tuple[str, str]]]:
        """Each row as pairs of head and cell, for screens on which a row is a list."""
        return [list(zip(self.heads, row, strict=True)) for row in self.rows]

    @property
    def narrow(self) -> bool:
        """Whether its rows are short enough to be read as lists; a wide one is scrolled."""
        return len(self.heads) < 6


def _words(name: str) -> str:
    return name.replace("_", " ")


def _stages() -> Iterator[Row]:
    for stage in Stage:
        out = [move.label.lower() for move in MOVES.values() if stage in move.sources]
        yield stage.label, "end" if stage in CLOSED else "open", ", ".join(out) or "–"


def _moves() -> Iterator[Row]:
    for move in MOVES.values():
        sources = ", ".join(s.label for s in Stage if s in move.sources) or "·"
        targets = ", ".join(s.label for s in Stage if s in move.targets)
        who = ", ".join(role.label for role in Role if role in move.roles)
        checks = [_words(gate.__name__) for gate in move.gates]
        checks += [f"said: {_words(ask.__name__)}" for ask in move.asks]
        yield move.label, sources, targets, who, "; ".join(checks)


def _gates() -> Iterator[Row]:
    for gate in READY_GATES:
        when = f"{gate.days_before} days before {'closing' if gate.before_close else 'install'}"
        checks = "; ".join(_words(check.__name__) for check in gate.checks)
        yield gate.code, gate.label, checks, when


def _switches() -> Iterator[Row]:
    for one in SWITCHED.values():
        yield one.label, one.why, ", ".join(sorted(one.codes))
    for label, why in ALWAYS:
        yield label, why, "can’t be left out"


def _waivers() -> Iterator[Row]:
    for code, rule in WAIVABLE.items():
        who = ", ".join(role.label for role in Role if role in rule.roles)
        kind = "override" if rule.override else "waiver"
        yield code, who, "yes" if rule.needs_until else "", kind


def _rights() -> Iterator[Row]:
    for deed, cells in RIGHTS.items():
        marks = [OWN[cells[role]] if role in cells else "–" for role in Role]
        yield deed.label, *marks


_ROWS: Final[dict[str, Callable[[], Iterator[Row]]]] = {
    "Stages": _stages,
    "Moves": _moves,
    "Readiness": _gates,
    "What can be left out": _switches,
    "Waivers": _waivers,
    "Rights": _rights,
}


def process_tables() -> tuple[SheetTable, ...]:
    """Return stages, moves, gates, switches, waivers and rights, read from the process itself."""
    return tuple(
        SheetTable(title, SHEET_HEADS[title], tuple(rows())) for title, rows in _ROWS.items()
    )


def words_table() -> SheetTable:
    """Return the words of the house with their meaning."""
    return SheetTable("Words", SHEET_HEADS["Words"], OWN_WORDS)


def process_sheet() -> str:
    """Return the tables of the process as Markdown, each under its title."""
    return (
        "\n\n".join(f"### {table.title}\n{as_markdown(table)}" for table in process_tables()) + "\n"
    )


def as_markdown(table: SheetTable) -> str:
    """Return one table as Markdown."""
    lines = [f"| {' | '.join(table.heads)} |", f"|{' --- |' * len(table.heads)}"]
    return "\n".join([*lines, *(f"| {' | '.join(row)} |" for row in table.rows)])
