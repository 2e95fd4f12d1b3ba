"""Condition report: what page 1 is filled with, and one page for each face."""

from dataclasses import dataclass

from lifecycle.papers.words.parts import BlockO, DatedLine, FacePage, ReportWords, SignatureWords
from lifecycle.papers.words.stored import later


@dataclass(frozen=True, slots=True, kw_only=True)
class GradeWords:
    """A grade with the definition that is printed beside it."""

    grade: str
    meaning: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ConditionReportWords:
    """``to_sign``: SHA-256 of the text that a hand on this print signs, where it is printed so."""

    institution: str
    about: BlockO
    report_no: str
    kind: str
    signed: bool
    signed_by: tuple[DatedLine, ...]
    reason: str
    exhibition: str
    materials: str
    techniques: str
    sizes: tuple[str, ...]
    weight: str
    components: tuple[str, ...]
    compared_with: ReportWords | None
    light_allowed: str
    climate_allowed: str
    written_so_far: tuple[tuple[str, str], ...]
    seen_as: tuple[str, ...]
    lights: tuple[str, ...]
    not_seen: tuple[str, ...]
    grades: tuple[GradeWords, ...]
    stabilities: tuple[str, ...]
    fits: tuple[str, ...]
    faces: tuple[FacePage, ...]
    signatures: tuple[SignatureWords, ...]
    to_sign: str = later("")

    @property
    def settled(self) -> bool:
        """Whether it says what was found, with nothing left to tick."""
        return self.signed or bool(self.to_sign)
