"""What a label is: its kind, its text, and the file it stands in."""

from dataclasses import dataclass
from enum import StrEnum


class Kind(StrEnum):
    """Where on the surface a label is met."""

    BUTTON = "button"
    CAPTION = "caption"
    COLUMN = "column"
    COMMAND = "command"
    EMPTY = "empty state"
    FIELD = "field"
    HEADING = "heading"
    LINK = "link"
    MARK = "mark"
    MOVE = "move"
    NAVIGATION = "navigation"
    OPTION = "option"
    PAPER = "paper"
    RIGHT = "right"
    SHORTCUT = "shortcut"
    TITLE = "page title"


#: Stands in a label where a value of the record is put in.
GAP = "…"


@dataclass(frozen=True, slots=True)
class Label:
    """One label; a gap shows where something of the record is put in."""

    kind: Kind
    text: str
    where: str


def tidy(text: str) -> str:
    """Bring a text from the source into one line, gaps drawn once."""
    line = " ".join(text.split()).strip()
    while f"{GAP} {GAP}" in line or f"{GAP}{GAP}" in line:
        line = line.replace(f"{GAP} {GAP}", GAP).replace(f"{GAP}{GAP}", GAP)
    return line


def says_something(text: str) -> bool:
    """Whether a tidy text has a letter of its own beside its gaps."""
    return any(letter.isalpha() for letter in text)
