"""De-install condition form: part A in the gallery as found, part B at the bench."""

from dataclasses import dataclass

from lifecycle.papers.words.parts import (
    BlockO,
    DatedLine,
    FacePage,
    LightWords,
    ReportWords,
    SignatureWords,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DeinstallFormWords:
    institution: str
    about: BlockO
    showing_no: str
    exhibition: str
    place: str
    on_display_since: str
    baseline: ReportWords | None
    last_in_display: ReportWords | None
    light: LightWords | None
    events: tuple[DatedLine, ...]
    due: tuple[DatedLine, ...]
    companions: tuple[str, ...]
    lights: tuple[str, ...]
    not_seen: tuple[str, ...]
    next_steps: tuple[str, ...]
    shown_face: str
    faces: tuple[FacePage, ...]
    lender: str
    signatures_a: tuple[SignatureWords, ...]
    signatures_b: tuple[SignatureWords, ...]
