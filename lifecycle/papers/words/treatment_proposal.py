"""Treatment proposal and consent: one version, and a place to decide for each it needs."""

from dataclasses import dataclass

from lifecycle.papers.words.parts import BlockO, DatedLine, PictureWords


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionWords:
    what: str
    gain: str
    risk: str
    undo: str
    hours: str
    cost: str
    chosen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownPicture:
    picture: PictureWords
    caption: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WeighedCaution:
    """What is warned of, and why it is proposed all the same."""

    warning: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TreatmentProposalWords:
    """``version`` is the number alone; ``needed`` are the roles that decide, in their order."""

    institution: str
    about: BlockO
    proposal_no: str
    version: int
    sent: str
    aim: str
    state: str
    based_on: str
    pictures: tuple[ShownPicture, ...]
    options: tuple[OptionWords, ...]
    why: str
    steps: tuple[tuple[str, str, str], ...]
    materials: tuple[tuple[str, str, str], ...]
    cautions: tuple[WeighedCaution, ...]
    tests_first: str
    removed: str
    effect_on_display: str
    stop_rules: str
    work: str
    undo: str
    no_answer: str
    needed: tuple[str, ...]
    proposer: str
    decided: tuple[DatedLine, ...]
