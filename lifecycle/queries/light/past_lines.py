"""Past showings from old files, as lines of a table: what each says and which face it means."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal

from django.db.models.functions import Lower

from lifecycle.queries.clock import museum_zone
from lifecycle.records.models import Face, LightEntry, MuseumObject


@dataclass(frozen=True, slots=True, kw_only=True)
class PastLine:
    """One line as read: lux low, likely, high [lx]; lit hours in all [h]; days included."""

    number: int
    typed: Mapping[str, str]
    object_number: str
    face: str = ""
    first: date | None = None
    last: date | None = None
    lux_low: Decimal | None = None
    lux_likely: Decimal | None = None
    lux_high: Decimal | None = None
    hours: Decimal | None = None
    hours_basis: str = ""
    source: str = ""
    faults: tuple[str, ...] = ()

    @property
    def dose(self) -> tuple[Decimal, Decimal, Decimal]:
        """Low, likely and high [lx·h]; nought where a figure is not known."""
        hours = self.hours or Decimal(0)
        lux = (self.lux_low, self.lux_likely, self.lux_high)
        low, likely, high = ((one or Decimal(0)) * hours for one in lux)
        return low, likely, high

    @property
    def basis(self) -> str:
        """What the estimate rests on, as it will stand in the account."""
        return (
            f"{self.lux_low} / {self.lux_likely} / {self.lux_high} lx for {self.hours} h"
            f" ({self.hours_basis})"
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class PastMeant:
    """A line with its face and moments; ``entered`` when the account holds it already."""

    line: PastLine
    face: Face | None = None
    from_at: datetime | None = None
    until_at: datetime | None = None
    entered: bool = False
    faults: tuple[str, ...] = ()

    @property
    def good(self) -> bool:
        return not self.faults and not self.entered


def what_past_lines_mean(lines: Sequence[PastLine], at: datetime) -> list[PastMeant]:
    """Find the face of every line and whether it was entered before; four queries."""
    numbers = {line.object_number.lower() for line in lines if line.object_number}
    known = MuseumObject.objects.annotate(low=Lower("object_number")).filter(low__in=numbers)
    things = {thing.object_number.lower(): thing for thing in known}
    faces: dict[int, list[Face]] = defaultdict(list)
    rows = Face.objects.filter(museum_object__in=things.values()).select_related("museum_object")
    for one in rows.order_by("order", "pk"):
        faces[one.museum_object_id].append(one)
    every = [face for of_one in faces.values() for face in of_one]
    entries = LightEntry.objects.filter(face__in=every, corrected_by=None)
    have = set(entries.values_list("face", "from_at", "until_at", "source"))
    zone = museum_zone()
    today = at.astimezone(zone).date()
    found = []
    for line in lines:
        faults = list(line.faults)
        thing = things.get(line.object_number.lower())
        if thing is None and line.object_number:
            faults.append(f"No object has the number “{line.object_number}”.")
        face = None if thing is None else _face(line, faces[thing.pk], faults)
        if line.first and line.last and line.last < line.first:
            faults.append("The last day lies before the first.")
        if line.last and line.last >= today:
            faults.append("It is not past: what hangs now is taken over, not entered here.")
        first, last = line.first, line.last
        from_at = None if first is None else datetime.combine(first, time(), zone)
        until_at = None if last is None else datetime.combine(last + timedelta(1), time(), zone)
        same = face is not None and (face.pk, from_at, until_at, line.source) in have
        found.append(
            PastMeant(
                line=line,
                face=face,
                from_at=from_at,
                until_at=until_at,
                entered=same,
                faults=tuple(faults),
            )
        )
        if face is not None and from_at is not None and until_at is not None and not faults:
            have.add((face.pk, from_at, until_at, line.source))
    return found


def _face(line: PastLine, faces: Sequence[Face], faults: list[str]) -> Face | None:
    if not line.face and len(faces) == 1:
        return faces[0]
    found = next((f for f in faces if f.label.casefold() == line.face.casefold()), None)
    if found is None:
        labels = ", ".join(face.label for face in faces) or "none"
        said = f"no face “{line.face}”" if line.face else "no face named"
        faults.append(f"There is {said}; faces on record: {labels}.")
    return found
