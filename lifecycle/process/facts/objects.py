"""The object of a showing: its faces, its holds and where else it is promised."""

from dataclasses import dataclass
from datetime import date

from lifecycle.process.ink import InkLevel
from lifecycle.process.words import Hazard


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldFacts:
    """A stop that lies on the object and is not lifted yet.

    ``asks_treatment``: the written decision on it asks for treatment, so treatment may begin.
    """

    uid: str
    reason: str
    placed_by: str
    placed_on: date
    asks_treatment: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherShowing:
    """Another showing of the same object that is not closed, with the days it takes.

    ``travel_days`` are the days the object needs to come from there or to go there.
    """

    showing_no: str
    exhibition: str
    first: date
    last: date
    accepted: bool
    past_selection: bool
    travel_days: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanFace:
    """One face the curator asked for, in the order of showing."""

    face_id: int
    label: str
    order: int
    from_on: date | None = None
    until_on: date | None = None
    must: bool = True
    never_show: bool = False
    never_show_reason: str = ""
    has_class: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Companion:
    """An object that goes with this one (a key, an instruction card) and must not be lost."""

    object_number: str
    placed: bool = False
    taken_down: bool = False
    needed: bool = True
    """Whether this object waits for it at install; the bond is named from this object then."""

    uid: str = ""
    showing_uid: str = ""
    """Its own showing in the same exhibition, where it is asked for."""

    apart: str = ""
    """How it is planned apart: in another case, for a later day, not at all; else nothing."""

    may_stand_alone: str = ""
    """The curator's word that this object may be shown without it: who and when."""


@dataclass(frozen=True, slots=True, kw_only=True)
class InkFacts:
    """The worst inked area of one face, as its last signed report rates it.

    ``signed_off``: who said in writing how it is moved, while that word still holds.
    """

    face_id: int
    face: str
    level: InkLevel
    area: str
    report: str
    signed_off: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ObjectFacts:
    object_id: int = 0
    uid: str = ""
    number: str = ""
    title: str = ""
    hazards: frozenset[Hazard] = frozenset()
    lender: str = ""
    current_place: str = ""
    normal_place: str = ""
    at_home: bool = True
    """It lies in its normal place, or with its lender, and nothing is under way."""

    holds: tuple[HoldFacts, ...] = ()
    others: tuple[OtherShowing, ...] = ()
    companions: tuple[Companion, ...] = ()
    ink: tuple[InkFacts, ...] = ()

    @property
    def hazards_assessed(self) -> bool:
        return bool(self.hazards) and Hazard.NOT_ASSESSED not in self.hazards
