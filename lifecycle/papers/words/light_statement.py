"""Light statement: what light each face of an object has had, and what that rests on."""

from dataclasses import dataclass

from lifecycle.papers.words.parts import BlockO


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownWords:
    """One showing of a face, or other light that was charged to it."""

    what: str
    days: str
    lit: str
    lux: str
    uv: str
    dose: str
    basis: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DayOfDose:
    """The dose in the rolling window [lx·h] at the end of a day (ISO), had or promised."""

    day: str
    lx_h: int
    promised: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SpanWords:
    """A stretch charged without a reading: first and last day (ISO), and how it was charged."""

    since: str
    until: str
    how: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceStatement:
    label: str
    rule: str
    missing: tuple[str, ...]
    allowance: int | None
    sums: tuple[tuple[str, str], ...]
    shown: tuple[ShownWords, ...]
    other: tuple[ShownWords, ...]
    gaps: tuple[SpanWords, ...]
    events: tuple[str, ...]
    overrides: tuple[str, ...]
    course: tuple[DayOfDose, ...]
    today: str
    earliest: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LightStatementWords:
    institution: str
    about: BlockO
    passes_through: str
    faces: tuple[FaceStatement, ...]
