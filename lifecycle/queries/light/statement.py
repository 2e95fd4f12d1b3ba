"""What stands on a light statement beside the accounts themselves: readings, waivers, what next."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Final

from lifecycle.planning.again import NextAllowed
from lifecycle.planning.exposure import Stay
from lifecycle.planning.levels import Position
from lifecycle.queries.light.accounts import FaceAccount, face_account, next_allowed_in
from lifecycle.queries.light.gathering import Gathered
from lifecycle.queries.light.overrides import Overridden, overrides_on
from lifecycle.records.models import Face, LightReading, MuseumObject

REFERENCE_DAYS: Final = 84
REFERENCE_LUX: Final = 50
"""The showing every statement is asked about: twelve weeks at 50 lx (common practice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceOnStatement:
    """One face with its account and what a showing of twelve weeks at 50 lx would be told."""

    account: FaceAccount
    answer: NextAllowed | None

    @property
    def face(self) -> Face:
        return self.account.face


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement:
    """All faces of an object; UV [µW/lm] by the reading it belongs to."""

    faces: Sequence[FaceOnStatement]
    uv: dict[str, Decimal]
    overrides: Sequence[Overridden]

    def uv_in(self, stay: Stay) -> list[Decimal]:
        refs = (row.ref for row in stay.position.readings if in_stay(row.at, stay))
        return [self.uv[ref] for ref in refs if ref in self.uv]


def in_stay(moment: datetime, stay: Stay) -> bool:
    """Whether a moment lies in a stay, its ends counted in."""
    return stay.since <= moment and (stay.until is None or moment <= stay.until)


def statement_of(thing: MuseumObject, at: datetime) -> Statement:
    """Return the statement of an object in a fixed number of queries."""
    faces = list(Face.objects.filter(museum_object=thing).order_by("order", "pk"))
    gathered = Gathered(faces, at)
    accounts = [face_account(gathered, face) for face in faces]
    lit = [where for account in accounts for where in _lit(account)]
    found = [_face(gathered, account, lit) for account in accounts]
    refs = {
        reading.ref
        for one in found
        for stay in one.account.account.inputs.stays
        for reading in stay.position.readings
    }
    rows = LightReading.objects.filter(uid__in=refs, uv__isnull=False)
    uv = {str(uid): value for uid, value in rows.values_list("uid", "uv") if value is not None}
    return Statement(faces=found, uv=uv, overrides=overrides_on(thing, at))


def _lit(account: FaceAccount) -> list[Position]:
    """Return the places with lit hours where a face hung or is promised to, the last first."""
    inputs = account.account.inputs
    held = [row.position for row in inputs.plans] + [row.position for row in inputs.stays]
    return [position for position in reversed(held) if position.timetable is not None]


def _face(
    gathered: Gathered, account: FaceAccount, elsewhere: Sequence[Position]
) -> FaceOnStatement:
    """Ask where the face itself hung last, else where another face of the object did."""
    position = next(iter([*_lit(account), *elsewhere]), None)
    answer = None
    if position is not None and not account.missing:
        answer = next_allowed_in(
            gathered,
            account.face,
            first_day=account.window_to + timedelta(1),
            days=REFERENCE_DAYS,
            position=Position(ref=position.ref, label=position.label, timetable=position.timetable),
            lux=REFERENCE_LUX,
        )
    return FaceOnStatement(account=account, answer=answer)
