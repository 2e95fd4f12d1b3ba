"""From the lines of a table to objects in words: every doubt is a reason, nothing is guessed."""

import re
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from difflib import get_close_matches
from functools import partial

from lifecycle.exchange.object_table.columns import BY_KEY, headed, parted
from lifecycle.exchange.tables import typed
from lifecycle.exchange.tables.table import Cell, Line, Table
from lifecycle.exchange.tables.typed import BadCell
from lifecycle.queries.object_cards import (
    Card,
    HazardWords,
    Lookup,
    bare_number,
    plain_number,
    words_in_order,
    yes_or_no,
)

_BRACKETED = re.compile(r"(.*?)\s*\(([^()]+)\)")
_LONGEST = {
    "title": 300,
    "maker": 200,
    "date": 200,
    "marks": 300,
    "cautions": 240,
    "class_basis": 200,
    "restricted": 20_000,
}
#: Kept numbers of words: which list a column's words come from.
LISTS = {
    "object_type": "object type",
    "materials": "material",
    "techniques": "technique",
    "lender": "lender",
    "class": "sensitivity class",
    "face_class": "sensitivity class",
    "place": "place",
}


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
class Unknown:
    """A word that is in none of the lists: in how many lines, and what comes near."""

    list_name: str
    word: str
    lines: list[int]
    near: list[str]


@dataclass(slots=True)
class Reading:
    """All objects of a table, its bad lines and the words it uses that nobody knows."""

    objects: list[Wanted]
    bad: list[BadLine]
    unknown: list[Unknown]


#: For a list and a word as typed: the word of that list it stands for.
Meanings = Mapping[tuple[str, str], str]


def read_objects(
    table: Table, keys: Sequence[str], lists: Mapping[str, Lookup], meanings: Meanings
) -> Reading:
    """Read every line; lines of one object are joined, lines in doubt are named with reasons.

    :param keys: for each column of the table the column of ours it is, or nothing
    """
    reader = _Reader(keys, lists, meanings)
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


def _twins(read: "_Read", spelled: Mapping[str, list[int]]) -> list[str]:
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


def _join(objects: dict[str, Wanted], read: "_Read") -> list[str]:
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
    objects: dict[str, Wanted], lines: Sequence["_Read"], bad: dict[int, BadLine]
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


@dataclass(slots=True)
class _Read:
    """One line read: the object in words, what it states, what is wrong."""

    line: int
    raw: str = ""
    bare: str = ""
    card: Card = field(default_factory=Card)
    stated: dict[str, str] = field(default_factory=dict)
    reasons: list[str] = field(default_factory=list)


class _Reader:
    """Reads lines of one table; remembers words nobody knows."""

    def __init__(
        self, keys: Sequence[str], lists: Mapping[str, Lookup], meanings: Meanings
    ) -> None:
        self.columns = [(n, key) for n, key in enumerate(keys) if key]
        self.lists, self.meanings = lists, meanings
        self._unknown: dict[tuple[str, str], list[int]] = defaultdict(list)
        self._near: dict[tuple[str, str], list[str]] = {}

    def read(self, line: Line) -> _Read:
        read = _Read(line.number)
        cells = {key: line.cells[n] for n, key in self.columns if line.cells[n]}
        number = cells.pop("object_number", None)
        if number is None:
            read.reasons.append("There is no object number.")
        else:
            self._try(read, "object_number", partial(self._number, read, number))
        sizes: dict[str, dict[str, str]] = defaultdict(dict)
        face: dict[str, Cell] = {}
        for key, cell in cells.items():
            if key.startswith("size:"):
                self._try(read, key, partial(_size, read, sizes, key, cell))
            elif BY_KEY[key].of_face:
                face[key] = cell
            else:
                self._try(read, key, partial(self._value, read, key, cell))
        if face:
            self._try(read, "face", partial(self._face, read, face))
        for state, sides in sizes.items():
            read.card.sizes[state] = (
                sides.get("height", ""),
                sides.get("width", ""),
                sides.get("depth", ""),
            )
        return read

    def _try(self, read: _Read, key: str, act: Callable[[], None]) -> None:
        try:
            act()
        except BadCell as bad:
            read.reasons.append(f"{BY_KEY[key].heading.capitalize()}: {bad}")

    def _number(self, read: _Read, cell: Cell) -> None:
        read.raw = cell.text
        read.raw = typed.identifier(cell)
        read.bare = bare_number(read.raw)

    def _word(self, read: _Read, list_name: str, text: str) -> str:
        """A word of a list, or what the person said it stands for."""
        found = self.lists[list_name].find(text)
        found = found or self.meanings.get((list_name, " ".join(text.split()).casefold()))
        if found:
            return found
        mark = (list_name, " ".join(text.split()))
        self._unknown[mark].append(read.line)
        near = self.near(mark)
        hint = f" Near it: {', '.join(near)}." if near else ""
        raise BadCell(f"“{text}” is no {list_name} known here.{hint}")

    def near(self, mark: tuple[str, str]) -> list[str]:
        if mark not in self._near:
            words = self.lists[mark[0]].words
            close = get_close_matches(mark[1].casefold(), list(words), n=3, cutoff=0.6)
            self._near[mark] = list(dict.fromkeys(words[one] for one in close))
        return self._near[mark]

    def unknown_words(self) -> list[Unknown]:
        kinds = set(LISTS.values())
        return [
            Unknown(mark[0], mark[1], lines, self.near(mark))
            for mark, lines in sorted(self._unknown.items())
            if mark[0] in kinds
        ]

    def _words(self, read: _Read, list_name: str, text: str) -> tuple[str, ...]:
        found, wrong = [], []
        for one in parted(text):
            try:
                found.append(self._word(read, list_name, one))
            except BadCell as bad:
                wrong.append(str(bad))
        if wrong:
            raise BadCell(" ".join(wrong))
        return words_in_order(found)

    def _value(self, read: _Read, key: str, cell: Cell) -> None:
        text = typed.text(cell, most=20_000)
        read.stated[key] = text
        values = read.card.values
        match key:
            case "materials":
                read.card.materials = self._words(read, "material", text)
            case "techniques":
                read.card.techniques = self._words(read, "technique", text)
            case "object_type" | "lender" | "class" | "place":
                values[key] = self._word(read, LISTS[key], text)
            case "owner":
                values[key] = self._word(read, "owner", text)
            case "orientation":
                values[key] = self._word(read, "orientation", text)
            case "light_passes" | "moisture":
                values[key] = yes_or_no(typed.truth(cell))
            case "weight":
                values[key] = _weight(cell)
            case "numbers":
                read.card.numbers = tuple(_other_number(one) for one in parted(text))
            case "components":
                read.card.components = dict(_component(one) for one in parted(text))
            case "hazards":
                read.card.hazards = dict(self._hazard(read, one) for one in parted(text))
            case _:
                values[key] = typed.text(cell, most=_LONGEST[key])

    def _hazard(self, read: _Read, entry: str) -> tuple[str, HazardWords]:
        whole = self.lists["hazard"].find(entry)
        if whole:
            return whole, _evidence(whole, "")
        head, protection = headed(entry)
        word, evidence = head, ""
        if self.lists["hazard"].find(head) is None and (match := _BRACKETED.fullmatch(head)):
            word, evidence = match[1], self._word(read, "evidence", match[2])
        found = self._word(read, "hazard", word)
        if len(protection) > 200:
            raise BadCell("What protects has more than 200 letters.")
        return found, _evidence(found, evidence, protection)

    def _face(self, read: _Read, cells: Mapping[str, Cell]) -> None:
        if "face" not in cells:
            raise BadCell("Something is said of a face, but the face has no name.")
        label = typed.text(cells["face"], most=80)
        face: dict[str, str] = {}
        if "face_kind" in cells:
            face["kind"] = self._word(read, "face kind", typed.text(cells["face_kind"], most=80))
        if "landmark" in cells:
            face["landmark"] = typed.text(cells["landmark"], most=120)
        if "angle" in cells:
            face["angle"] = _angle(cells["angle"])
        if "face_class" in cells:
            text = typed.text(cells["face_class"], most=80)
            face["class"] = self._word(read, "sensitivity class", text)
        if "never" in cells:
            face["never"] = yes_or_no(typed.truth(cells["never"]))
        if "never_why" in cells:
            face["never_why"] = typed.text(cells["never_why"], most=200)
        read.card.faces = {label: face}


def _evidence(hazard: str, evidence: str, protection: str = "") -> HazardWords:
    if hazard in ("none known", "not assessed"):
        return HazardWords("none found", protection)
    if evidence == "none found":
        raise BadCell(f"“none found” is no evidence for {hazard}: write none known.")
    return HazardWords(evidence, protection)


def _size(read: _Read, sizes: dict[str, dict[str, str]], key: str, cell: Cell) -> None:
    _, state, side = key.split(":")
    value = typed.quantity(cell, typed.MILLIMETRES)
    if not 0 < value < 100_000:
        raise BadCell("A length is more than 0 mm and less than 100 m.")
    if value != value.quantize(Decimal("0.1")):
        raise BadCell("A length is kept to a tenth of a millimetre.")
    sizes[state][side] = plain_number(value)
    read.stated[key] = sizes[state][side]


def _weight(cell: Cell) -> str:
    grams = typed.whole(cell, typed.GRAMS)
    if not 0 <= grams < 2_000_000_000:
        raise BadCell("A weight is from 0 g to 2,000 t.")
    return str(grams)


def _angle(cell: Cell) -> str:
    angle = typed.whole(cell, typed.DEGREES)
    if not 1 <= angle <= 360:
        raise BadCell("The widest opening is an angle from 1 to 360 degrees.")
    return str(angle)


def _other_number(entry: str) -> tuple[str, str]:
    kind, number = headed(entry)
    if not number:
        kind, number = "other", entry
    if len(kind) > 60 or len(number) > 60:
        raise BadCell(f"“{entry[:40]}…” is too long: 60 letters each for whose number and number.")
    return kind, number


def _component(entry: str) -> tuple[str, str]:
    label, description = headed(entry)
    if not label or len(label) > 80 or len(description) > 200:
        raise BadCell(
            f"“{entry[:40]}”: a name of at most 80 letters, a description of at most 200."
        )
    return label, description
