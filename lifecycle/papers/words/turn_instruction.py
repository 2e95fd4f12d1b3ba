"""Turn instruction: which face comes off, which goes on, in what order, and when to stop."""

from dataclasses import dataclass

from lifecycle.papers.words.parts import BlockO, FacePage, LightWords, SignatureWords
from lifecycle.papers.words.stored import later


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnInstructionWords:
    institution: str
    about: BlockO
    turn_no: str
    kind: str
    exhibition: str
    place: str
    planned_for: str
    why_this_day: str
    last_day: str
    days_in_hand: str
    people: tuple[SignatureWords, ...]
    comes_off: FacePage
    goes_on: FacePage
    goes_on_object: BlockO | None
    support_now: str
    support_next: str
    facsimile_out: str
    facsimile_in: str
    caption_out: str
    caption_in: str
    tools: str
    steps: tuple[str, ...]
    light: LightWords | None
    stop_rule: str
    companions: tuple[str, ...] = later(())
