"""What the hands hold: the faces that stand on top of a page used at the case."""

from dataclasses import dataclass
from datetime import datetime
from typing import Self

from lifecycle.records.models import DisplayPeriod, Face, Place, Showing


@dataclass(frozen=True, slots=True, kw_only=True)
class InHand:
    """One face with the word for what happens to it; no face means that none is planned."""

    word: str
    number: str
    face: Face | None
    place: Place | None = None
    since: datetime | None = None

    @classmethod
    def shown(cls, word: str, showing: Showing, period: DisplayPeriod | None) -> Self:
        """The face of an open display period, with its place and since when."""
        return cls(
            word=word,
            number=showing.museum_object.object_number,
            face=period.face if period else None,
            place=period.place if period else None,
            since=period.opened_at if period else None,
        )
