"""From the lines of a table to objects in words: every doubt is a reason, nothing is guessed."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from lifecycle.exchange.object_table.columns import BY_KEY
from lifecycle.exchange.object_table.line import Meanings, Read, Reader, Unknown
from lifecycle.exchange.tables.table import Line, Table
from lifecycle.queries.object_cards import Card, Lookup, bare_number


@dataclass(frozen=True, slots=True)
class BadLine:
    """A line that can't be taken: its number in the file, the object number, the reasons."""

    number: int
    object_number: str
    reasons: tuple[str, ...]


@dataclass(slots=True)
class Wanted:
    """One object as the table has it, from one line or several (one a face)."""

    number: str
    lines: list[int]
    card: Card
    raw: str = ""
    stated: dict[str, tuple[str, int]] = field(default_factory=dict)


@dataclass(slots=True)
class Reading:
    """All objects of a table, its bad lines and the words it uses that nobody knows."""

    objects: list[Wanted]
    bad: list[BadLine]
    unknown: list[Unknown]


def read_objects(
    table: Table, keys: Sequence[str], lists: Mapping[str, Lookup], meanings: Meanings
) -> Reading:
    """Read every line; lines of one object are joined, lines in doubt are named with reasons.

    :param keys: for each column of the table the column of ours it is, or nothing
    """
    reader = Reader(keys, lists, meanings, table.headings)
    lines = []
    bad: dict[int, BadLine] = {}
    for line in table.lines:
        if _explains(line, keys):
            continue
        read = reader.read(line)
        if read.reasons:
            bad[line.number] = BadLine(line.number, read.raw, tuple(read.reasons))
        else:
            lines.append(read)
    spellings: dict[str, dict[str, list[int]]] = defaultdict(lambda: defaultdict(list))
    for read in lines:
        spellings[read.bare][read.raw].append(read.line)
    objects: dict[str, Wanted] = {}
    for read in lines:
        reasons = _twins(read, spellings[read.bare]) or _join(objects, read)
        if reasons:
            bad[read.line] = BadLine(read.line, read.raw, tuple(reasons))
    _refuse_whole(objects, lines, bad)
    return Reading(
        list(objects.values()), [bad[number] for number in sorted(bad)], reader.unknown_words()
    )


def _explains(line: Line, keys: Sequence[str]) -> bool:
    """The template's own line of explanations, left in by who filled it."""
    said = [(key, line.cells[n].text) for n, key in enumerate(keys) if key and line.cells[n]]
    return bool(said) and all(text == BY_KEY[key].says for key, text in said)


def _twins(read: Read, spelled: Mapping[str, list[int]]) -> list[str]:
    if len(spelled) < 2:
        return []
    others = "; ".join(
        f"“{raw}” in line {', '.join(map(str, numbers[:5]))}"
        for raw, numbers in spelled.items()
        if raw != read.raw
    )
    return [
        f"“{read.raw}” differs from {others} in capitals or blanks alone: is it one object or "
        "are they two? Correct the table."
    ]


def _join(objects: dict[str, Wanted], read: Read) -> list[str]:
    """Put a line to the lines of the same object before it."""
    there = objects.get(read.bare)
    if there is None:
        stated = {key: (text, read.line) for key, text in read.stated.items()}
        objects[read.bare] = Wanted(read.raw, [read.line], read.card, read.raw, stated)
        return []
    reasons = []
    for key, text in read.stated.items():
        before = there.stated.get(key)
        if before is not None and before[0] != text:
            reasons.append(
                f"{BY_KEY[key].heading.capitalize()} is “{text}” here and “{before[0]}” in line "
                f"{before[1]}, for the same object."
            )
    if not read.card.faces:
        reasons.append(
            f"Line {there.lines[0]} has the same object number; this line names no further face."
        )
    known = {label.casefold() for label in there.card.faces}
    reasons += [
        f"The face “{label}” of this object stands in an earlier line already."
        for label in read.card.faces
        if label.casefold() in known
    ]
    if reasons:
        return reasons
    there.lines.append(read.line)
    there.card.faces |= read.card.faces
    for key, text in read.stated.items():
        if key not in there.stated:
            there.stated[key] = (text, read.line)
            _take_over(there.card, read.card, key)
    return []


def _take_over(card: Card, other: Card, key: str) -> None:
    if key in other.values:
        card.values[key] = other.values[key]
    elif key.startswith("size:"):
        card.sizes |= other.sizes
    else:
        setattr(card, key, getattr(other, key))


def _refuse_whole(
    objects: dict[str, Wanted], lines: Sequence[Read], bad: dict[int, BadLine]
) -> None:
    """An object is taken with all its lines or not at all."""
    by_bare: dict[str, list[int]] = defaultdict(list)
    for one in bad.values():
        by_bare[bare_number(one.object_number)].append(one.number)
    for bare, numbers in by_bare.items():
        wanted = objects.pop(bare, None) if bare else None
        for number in wanted.lines if wanted else ():
            bad.setdefault(
                number,
                BadLine(
                    number,
                    wanted.raw if wanted else "",
                    (f"Another line of this object can't be taken: line {numbers[0]}.",),
                ),
            )
