"""What a curator is told while asking: other bookings of the object, and how late it is."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from lifecycle.process.stages import CLOSED, Stage
from lifecycle.records.models import Exhibition, MuseumObject, Showing

OWN_LEAD: Final = timedelta(weeks=26)
"""A request is normal until 26 weeks before the install begins (common practice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Booking:
    """Another showing of the same object that is not closed."""

    uid: str
    request_no: str
    exhibition_id: int
    exhibition: str
    show_from: date
    show_to: date
    stage: Stage


def other_bookings(museum_object: MuseumObject, showing: Showing | None) -> list[Booking]:
    """Return the other open showings of an object, the earliest first, in one query."""
    rows = (
        Showing.objects.filter(museum_object=museum_object)
        .exclude(stage__in=sorted(CLOSED))
        .select_related("exhibition")
        .order_by("show_from", "pk")
    )
    if showing is not None:
        rows = rows.exclude(pk=showing.pk)
    return [
        Booking(
            uid=str(row.uid),
            request_no=row.request_no,
            exhibition_id=row.exhibition_id,
            exhibition=row.exhibition.title,
            show_from=row.show_from,
            show_to=row.show_to,
            stage=Stage(row.stage),
        )
        for row in rows
    ]


def late_by(exhibition: Exhibition, today: date) -> int:
    """Return by how many days a request made today is late; nothing or less when it is in time.

    Rare material is asked of a lender six months ahead, which is the same 26 weeks
    (common practice).
    """
    return (today - (exhibition.install_from - OWN_LEAD)).days
