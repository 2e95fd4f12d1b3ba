"""One paper that can be printed, and what somebody wants papers for."""

from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from django.db.models import Q

from lifecycle.records.models import CopyWord, Exhibition, MuseumObject, PaperKind, Showing

DAYS_AHEAD = timedelta(days=7)
LIST_LIMIT = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Printable:
    """One paper that can be printed, with the record it is made from."""

    paper: PaperKind
    uid: UUID
    number: str
    objects: tuple[str, ...]
    what: str
    day: date | None
    printed: int
    signed: bool = False

    @property
    def copy_word(self) -> CopyWord:
        """The copy that its button prints: one to sign, or a copy of what is signed."""
        if self.paper.unsigned:
            return CopyWord.WORKING
        return CopyWord.SIGNED_COPY if self.signed else CopyWord.TO_SIGN


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What somebody wants papers for; nothing at all means the next seven days."""

    day: date | None = None
    exhibition: Exhibition | None = None
    museum_object: MuseumObject | None = None
    showing: Showing | None = None

    @property
    def about_something(self) -> bool:
        return any((self.exhibition, self.museum_object, self.showing))

    def span(self, today: date) -> tuple[date, date] | None:
        """The days looked at; None for all, when an object, exhibition or showing is named."""
        if self.day is not None:
            return self.day, self.day
        return None if self.about_something else (today, today + DAYS_AHEAD)

    def of_showings(self, path: str = "") -> Q:
        """The filter about showings, reached over `path`."""
        wanted = Q()
        if self.exhibition is not None:
            wanted &= Q(**{f"{path}exhibition": self.exhibition})
        if self.museum_object is not None:
            wanted &= Q(**{f"{path}museum_object": self.museum_object})
        if self.showing is not None:
            wanted &= Q(**{f"{path}pk": self.showing.pk})
        return wanted
