"""Install a case in one go: 'all as planned', the exceptions typed one by one."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from uuid import UUID, uuid4

from django.db import transaction

from lifecycle.actions.display.installing import AS_PLANNED, Seen, install, open_check
from lifecycle.actions.display.pairs import Pair, pair_of
from lifecycle.actions.display.photos import Photo
from lifecycle.actions.display.reading import NOTHING_READ, MeterSays
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.actions.signing import Hand, prove
from lifecycle.records.models import Face, InstallCheck, Place, Showing


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseLine:
    """One object of the case. Photograph and lux are its own; an exception leaves it open."""

    showing: Showing
    face: Face
    place: Place
    photo: Photo | None = None
    meter: MeterSays = NOTHING_READ
    exception: str = ""
    upside_down: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOpen:
    """An object whose check stays open, with every reason in words."""

    showing: Showing
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseResult:
    batch: UUID
    closed: tuple[InstallCheck, ...]
    left_open: tuple[LeftOpen, ...]


def _seen(line: CaseLine) -> Seen:
    return replace(
        AS_PLANNED,
        photo=line.photo,
        meter=line.meter,
        way_up_right=not line.upside_down,
        exception=line.exception,
    )


@transaction.atomic
def install_case(
    *,
    one: Hand,
    other: Hand,
    at: datetime,
    lines: Sequence[CaseLine],
    observed_at: datetime,
) -> CaseResult:
    """Install every object of the case that is as planned; the others stay open, each by itself.

    Two people look at each object; 'all as planned' says it for all of them, but each object asks
    for its own photograph and its own lux. One that is not right does not hold up the others.

    :raises Refused: when the hands can't sign, or no line was given
    """
    if not lines:
        raise Refused("Nothing is planned for this case; plan the positions first.")
    pair_of(one, other)
    one, other = prove(one, at=at), prove(other, at=at)
    pair = pair_of(one, other)
    batch, closed, left = uuid4(), [], []
    for line in lines:
        seen = _seen(line)
        try:
            with transaction.atomic():
                closed.append(
                    install(
                        one=one,
                        other=other,
                        at=at,
                        showing=line.showing,
                        face=line.face,
                        place=line.place,
                        seen=seen,
                        observed_at=observed_at,
                        batch=batch,
                        as_planned=True,
                    )
                )
        except Refused as refused:
            left.append(LeftOpen(showing=line.showing, reasons=refused.reasons))
            _keep_open(line, seen, pair, observed_at, batch, at)
    return CaseResult(batch=batch, closed=tuple(closed), left_open=tuple(left))


def _keep_open(
    line: CaseLine, seen: Seen, pair: Pair, begun_at: datetime, batch: UUID, at: datetime
) -> None:
    """Keep what was seen of an object that could not be closed; a bad picture is left out."""
    for kept in (seen, replace(seen, photo=None)):
        try:
            with transaction.atomic():
                open_check(
                    pair=pair,
                    at=at,
                    showing=line.showing,
                    face=line.face,
                    place=line.place,
                    seen=kept,
                    begun_at=begun_at,
                    batch=batch,
                    as_planned=True,
                )
        except Refused:
            continue
        return
