"""One line of a table of objects, read cell by cell: words are found, doubts are told."""

import re
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from difflib import get_close_matches
from functools import partial
from typing import Final

from lifecycle.exchange.object_table.columns import BY_KEY, headed, parted, unit_of
from lifecycle.exchange.tables import typed
from lifecycle.exchange.tables.table import Cell, Line
from lifecycle.exchange.tables.typed import BadCell
from lifecycle.process.words import Hazard
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
    "community": 200,
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
    "hazards": "hazard",
}
#: Words no other word may stand for: a warning in a table never comes in as 'none known'.
NO_WARNING: Final = frozenset({Hazard.NONE_KNOWN.label, Hazard.NOT_ASSESSED.label})


#: For a list and a word as typed: the word of that list it stands for.
Meanings = Mapping[tuple[str, str], str]


#: Said of a word that is left out while its line comes in; for words a card can do without.
WITHOUT: Final = "without"
CAN_DO_WITHOUT: Final = frozenset({"material", "technique", "sensitivity class", "place"})
#: How many words are compared for nearness in one table: some seconds at most.
MOST_COMPARED: Final = 100_000


@dataclass(slots=True)
class Unknown:
    """A word that is in none of the lists: in how many lines, and what comes near."""

    list_name: str
    word: str
    lines: list[int]
    near: list[str]


@dataclass(slots=True)
class Read:
    """One line read: the object in words, what it states, what is wrong."""

    line: int
    raw: str = ""
    bare: str = ""
    card: Card = field(default_factory=Card)
    stated: dict[str, str] = field(default_factory=dict)
    reasons: list[str] = field(default_factory=list)


class Reader:
    """Reads lines of one table; remembers words nobody knows."""

    def __init__(
        self,
        keys: Sequence[str],
        lists: Mapping[str, Lookup],
        meanings: Meanings,
        headings: Sequence[str] = (),
    ) -> None:
        self.columns = [(n, key) for n, key in enumerate(keys) if key]
        #: The unit each column's heading names for all its cells.
        self.units = {key: unit_of(heading) for key, heading in zip(keys, headings, strict=False)}
        self.lists, self.meanings = lists, meanings
        self._unknown: dict[tuple[str, str], list[int]] = defaultdict(list)
        self._patience = MOST_COMPARED
        self._near: dict[tuple[str, str], list[str]] = {}

    def read(self, line: Line) -> Read:
        read = Read(line.number)
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
                self._try(read, key, partial(self._size, read, sizes, key, cell))
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

    def _try(self, read: Read, key: str, act: Callable[[], None]) -> None:
        try:
            act()
        except BadCell as bad:
            read.reasons.append(f"{BY_KEY[key].heading.capitalize()}: {bad}")

    def _number(self, read: Read, cell: Cell) -> None:
        read.raw = cell.text
        read.raw = typed.identifier(cell)
        read.bare = bare_number(read.raw)

    def _word(self, read: Read, list_name: str, text: str) -> str:
        """A word of a list, or what the person said it stands for."""
        found = self.lists[list_name].find(text)
        found = found or self.meanings.get((list_name, " ".join(text.split()).casefold()))
        if found == WITHOUT:
            return ""
        if found:
            return found
        mark = (list_name, " ".join(text.split()))
        self._unknown[mark].append(read.line)
        near = self.near(mark)
        hint = f" Near it: {', '.join(near)}." if near else ""
        raise BadCell(f"“{text}” is no {list_name} known here.{hint}")

    def near(self, mark: tuple[str, str]) -> list[str]:
        """The words that look most like one nobody knows; looked for as long as it takes little."""
        if mark not in self._near:
            words = {word.casefold(): word for word in self.lists[mark[0]].all()}
            self._patience -= len(words)
            close = (
                get_close_matches(mark[1].casefold(), list(words), n=3, cutoff=0.6)
                if self._patience > 0
                else []
            )
            self._near[mark] = [words[one] for one in close]
        return self._near[mark]

    def unknown_words(self) -> list[Unknown]:
        kinds = set(LISTS.values())
        return [
            Unknown(mark[0], mark[1], lines, self.near(mark))
            for mark, lines in sorted(self._unknown.items())
            if mark[0] in kinds
        ]

    def _words(self, read: Read, list_name: str, text: str) -> tuple[str, ...]:
        found, wrong = [], []
        for one in parted(text):
            try:
                found.append(self._word(read, list_name, one))
            except BadCell as bad:
                wrong.append(str(bad))
        if wrong:
            raise BadCell(" ".join(wrong))
        return words_in_order(word for word in found if word)

    def _value(self, read: Read, key: str, cell: Cell) -> None:
        text = typed.text(cell, most=20_000)
        read.stated[key] = text
        values = read.card.values
        match key:
            case "materials":
                read.card.materials = self._words(read, "material", text)
            case "techniques":
                read.card.techniques = self._words(read, "technique", text)
            case "object_type" | "lender" | "class" | "place":
                if word := self._word(read, LISTS[key], text):
                    values[key] = word
            case "owner":
                values[key] = self._word(read, "owner", text)
            case "orientation":
                values[key] = self._word(read, "orientation", text)
            case "light_passes" | "moisture":
                values[key] = yes_or_no(typed.truth(cell))
            case "weight":
                values[key] = _weight(cell, self.units.get(key, ""))
            case "numbers":
                read.card.numbers = tuple(_other_number(one) for one in parted(text))
            case "components":
                read.card.components = dict(_component(one) for one in parted(text))
            case "hazards":
                read.card.hazards = dict(self._hazard(read, one) for one in parted(text))
            case _:
                values[key] = typed.text(cell, most=_LONGEST[key])

    def _hazard(self, read: Read, entry: str) -> tuple[str, HazardWords]:
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

    def _size(self, read: Read, sizes: dict[str, dict[str, str]], key: str, cell: Cell) -> None:
        _, state, side = key.split(":")
        sizes[state][side] = read.stated[key] = _length(cell, self.units.get(key, ""))

    def _face(self, read: Read, cells: Mapping[str, Cell]) -> None:
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
            if word := self._word(read, "sensitivity class", text):
                face["class"] = word
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


def _length(cell: Cell, unit: str) -> str:
    value = typed.quantity(cell, typed.counted_in(typed.MILLIMETRES, unit))
    if not 0 < value < 100_000:
        raise BadCell("A length is more than 0 mm and less than 100 m.")
    if value != value.quantize(Decimal("0.1")):
        raise BadCell("A length is kept to a tenth of a millimetre.")
    return plain_number(value)


def _weight(cell: Cell, unit: str) -> str:
    grams = typed.whole(cell, typed.counted_in(typed.GRAMS, unit))
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
