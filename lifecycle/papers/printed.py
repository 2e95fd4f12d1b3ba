"""A print as it is stored: its words and its stamp as data, and the ink they give at any time."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from lifecycle.papers.fonts.catalogue import CJK_PACKAGE, CJK_SETTING, uncovered
from lifecycle.papers.ink.draw import Drawn, Sheet, draw, draw_pack
from lifecycle.papers.ink.pen import PictureSource
from lifecycle.papers.sheets import WORDS, PaperWords, sheet_of
from lifecycle.papers.words.blocks import SheetPlan, Stamp
from lifecycle.papers.words.stored import from_data, texts, to_data


@dataclass(frozen=True, slots=True)
class Unprintable:
    """A character that no font on this machine can draw, and where it stands."""

    field: str
    characters: str

    @property
    def text(self) -> str:
        """What is wrong and what to do, as one sentence."""
        codes = " ".join(f"U+{ord(one):04X}" for one in self.characters)
        return (
            f"The {self.field} holds “{self.characters}” ({codes}), which no font on this machine "
            f"can draw, so nothing is printed. Name a TrueType font that has it in {CJK_SETTING}, "
            f"or install a package such as {CJK_PACKAGE} (Japanese), and print again."
        )


def stored(words: PaperWords, stamp: Stamp) -> dict[str, Any]:
    """Words and stamp as one JSON value for the row of the print."""
    return {"paper": to_data(words), "stamp": to_data(stamp)}


def words_of(paper: str, data: dict[str, Any]) -> PaperWords:
    """The words a print was made with. Errors: WordsFault when the row is damaged."""
    return from_data(WORDS[paper], data["paper"])


def stamp_of(data: dict[str, Any]) -> Stamp:
    """The stamp a print was made with."""
    return from_data(Stamp, data["stamp"])


def plan_of(paper: str, data: dict[str, Any]) -> SheetPlan:
    """The blocks of a print, for its accessible version on screen."""
    return sheet_of(words_of(paper, data))


def draw_print(
    paper: str, data: dict[str, Any], *, page_size: str, pictures: PictureSource
) -> Drawn:
    """Draw a stored print; the same row gives the same bytes each time."""
    return draw(plan_of(paper, data), stamp_of(data), page_size=page_size, pictures=pictures)


def draw_prints(
    prints: Sequence[tuple[str, dict[str, Any], str]], *, pictures: PictureSource
) -> Drawn:
    """Draw several stored prints, as (paper, data, page size), into one file."""
    sheets = [Sheet(plan_of(paper, data), stamp_of(data), size) for paper, data, size in prints]
    return draw_pack(sheets, pictures=pictures)


def unprintable(words: object, stamp: Stamp) -> list[Unprintable]:
    """Every text with a character that cannot be drawn: one entry a field, the first character."""
    found: dict[str, Unprintable] = {}
    for field, text in (*texts(words), *texts(stamp)):
        if field not in found and (group := uncovered(text)) is not None:
            found[field] = Unprintable(field, group)
    return list(found.values())


def pictures_in(words: object) -> set[str]:
    """SHA-256 of every picture a paper shows."""
    return set(_pictures(to_data(words)))


def _pictures(data: Any) -> list[str]:
    if isinstance(data, dict):
        if set(data) == {"sha256", "width", "height"}:
            return [data["sha256"]]
        return [sha for value in data.values() for sha in _pictures(value)]
    if isinstance(data, list):
        return [sha for value in data for sha in _pictures(value)]
    return []
