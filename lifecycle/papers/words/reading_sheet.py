"""Reading sheet: where light is read in a place, what was read there last, what binds."""

from dataclasses import dataclass

from lifecycle.papers.words.parts import PictureWords, PlanWords
from lifecycle.papers.words.stored import later


@dataclass(frozen=True, slots=True, kw_only=True)
class PointToRead:
    """One point: the case it belongs to, its letter, how the sensor lies, ceiling, last value.

    ``on_plan`` is what stands beside it on the plan, empty where no plan shows it.
    """

    case: str
    point: str
    label: str
    picture: PictureWords | None
    ceiling: str
    last: str
    on_plan: str = later("")


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
    plans: tuple[PlanWords, ...] = later(())
    plan_line: str = later("")
