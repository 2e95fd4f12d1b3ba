"""Movement slip: one part goes with the object, one stays, one lies in the empty place."""

from dataclasses import dataclass

from lifecycle.papers.words.parts import BlockO


@dataclass(frozen=True, slots=True, kw_only=True)
class MovementSlipWords:
    institution: str
    movement_no: str
    objects: tuple[BlockO, ...]
    going_from: str
    going_to: str
    reason: str
    planned_for: str
    expected_back: str
    authorised_by: str
    authorised_at: str
    people_needed: int
    people_words: str
    method: str
    carried_by: str
    route_remarks: str
    card_numbers: tuple[str, ...]
    hazard_line: str
    cautions: tuple[str, ...]
