"""Treatment report: what was done, in order, with what, how it looked before and after."""

from dataclasses import dataclass
from typing import Final

from lifecycle.papers.words.parts import (
    BlockO,
    DatedLine,
    FaceWords,
    ReportWords,
    SignatureWords,
)
from lifecycle.papers.words.stored import later

#: In which capacity somebody signs, as it stands before the line.
AUTHOR: Final = "Treated and reported by"
CO_AUTHOR: Final = "Treated by"
SECOND_READER: Final = "Second reader"


@dataclass(frozen=True, slots=True, kw_only=True)
class StepWords:
    """One step as its row is printed; ``under`` says which consent covered it."""

    number: int
    when: str
    who: str
    what: str
    where: str
    with_what: str
    result: str
    under: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BeforeAfterWords:
    """One face in one light: the picture before, and the one after, each with its moment."""

    light: str
    before: FaceWords
    before_at: str
    after: FaceWords
    after_at: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FeatureThenNow:
    name: str
    what: str
    where: str
    before: str
    after: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialWords:
    """A material used, with batch and strengths, and what it is in plain words."""

    name: str
    used: str
    plain: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TreatmentReportWords:
    """The report as it stands; ``still_to_sign`` are the lines a signed one still waits for."""

    institution: str
    about: BlockO
    proposal_no: str
    version: int
    corrects: str
    signed: bool
    signed_by: tuple[DatedLine, ...]
    exhibition: str
    consents: tuple[DatedLine, ...]
    based_on: ReportWords | None
    after_check: ReportWords | None
    features: tuple[FeatureThenNow, ...]
    summary: str
    steps: tuple[StepWords, ...]
    hours: str
    deviations: tuple[DatedLine, ...]
    findings: tuple[DatedLine, ...]
    removed: tuple[DatedLine, ...]
    removed_kept_where: str
    materials: tuple[MaterialWords, ...]
    take_off: str
    not_done: str
    remaining_risks: str
    advice_use: str
    advice_housing: str
    call_back: str
    pairs: tuple[BeforeAfterWords, ...]
    not_pictured: str
    signatures: tuple[SignatureWords, ...]
    still_to_sign: tuple[SignatureWords, ...] = later(())
