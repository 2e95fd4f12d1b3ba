"""P14, reading sheet: where light is read in a place, what was read there last, what binds."""

from dataclasses import dataclass

from lifecycle.papers.words.parts import PictureWords


@dataclass(frozen=True, slots=True, kw_only=True)
class PointToRead:
    """One point: the case it belongs to, its letter, how the sensor lies, ceiling, last value."""

    case: str
    point: str
    label: str
    picture: PictureWords | None
    ceiling: str
    last: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingSheetWords:
    institution: str
    place: str
    code: str
    within: str
    lamps: str
    points: tuple[PointToRead, ...]
    meters: tuple[str, ...]
    hazard_line: str
    hazardous: bool
    cautions: tuple[str, ...]
