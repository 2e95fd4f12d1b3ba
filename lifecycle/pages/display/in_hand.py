"""What the hands hold: the faces that stand on top of a page used at the case."""

from dataclasses import dataclass
from datetime import datetime
from typing import Self

from lifecycle.queries.display.supports import mount_of, mount_words
from lifecycle.records.models import DisplayPeriod, Face, Place, Showing


@dataclass(frozen=True, slots=True, kw_only=True)
class InHand:
    """One face with the word for what happens to it; no face means that none is planned."""

    word: str
    number: str
    face: Face | None
    place: Place | None = None
    since: datetime | None = None
    mount: str = ""

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

    @classmethod
    def coming(
        cls, word: str, showing: Showing, face: Face | None, place: Place | None = None
    ) -> Self:
        """The face that is to be seen next, with its place and the mount that holds it."""
        mount = mount_of(showing, face) if face else None
        return cls(
            word=word,
            number=showing.museum_object.object_number,
            face=face,
            place=place,
            mount=mount_words(mount) if mount else "",
        )
