"""Illuminance at a place through time, out of spot readings and light events.

Between two readings the later value holds back to the last known event when one is on record;
without an event the mean of both is the likely value, the lower is the low case and the higher the
high case (decided rule of this project, a house rule). After an event nothing is known until the
next reading. No reading for longer than twice the reading interval: the stretch beyond is charged
at the higher of ceiling and highest value seen, marked.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum
from itertools import pairwise
from typing import Final

from lifecycle.planning.lit_hours import LampState, Timetable
from lifecycle.planning.logged import Logged
from lifecycle.planning.moments import minute_of
from lifecycle.planning.quantities import Band


class Basis(StrEnum):
    """What the illuminance of a stretch rests on."""

    MEAN = "mean"
    HELD = "held"
    UNCERTAIN_EVENT = "uncertain_event"
    BETWEEN_EVENTS = "between_events"
    CARRIED_BACK = "carried_back"
    CARRIED_ON = "carried_on"
    GAP = "gap"
    VOIDED = "voided"
    NO_READING = "no_reading"
    PLANNED = "planned"
    LOGGED = "logged"

    @property
    def label(self) -> str:
        return _LABELS[self]


_LABELS: Final = {
    Basis.MEAN: "mean of the readings before and after",
    Basis.HELD: "reading, held to the known light event",
    Basis.UNCERTAIN_EVENT: "within the span in which a light event happened",
    Basis.BETWEEN_EVENTS: "between two light events without a reading",
    Basis.CARRIED_BACK: "first reading, carried back",
    Basis.CARRIED_ON: "last reading, carried on",
    Basis.GAP: "charged as gap: no reading for too long",
    Basis.VOIDED: "charged: a light event voids the last reading",
    Basis.NO_READING: "charged: no reading yet",
    Basis.PLANNED: "planned illuminance",
    Basis.LOGGED: "logged light",
}
ASSUMED: Final = frozenset({Basis.GAP, Basis.VOIDED, Basis.NO_READING, Basis.BETWEEN_EVENTS})


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A spot reading at the place's fixed point. ``level`` is in half deci-lux (20 are 1 lx)."""

    at: datetime
    level: int
    state: LampState = LampState.SHOW
    ref: str = ""
    suspicious: bool = False
    marked: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LightChange:
    """A light event, known to have happened between two moments (equal when known exactly)."""

    first: datetime
    last: datetime
    what: str = ""
    ref: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Position:
    """A place where faces are shown, with everything that is known about its light.

    ``logged`` are series that stand instead of the readings where they have data; of two that
    speak for the same minute the first counts.
    """

    ref: str
    label: str
    timetable: Timetable | None = None
    readings: tuple[Reading, ...] = ()
    events: tuple[LightChange, ...] = ()
    logged: tuple[Logged, ...] = ()


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of constant knowledge: ``band`` of levels from ``start`` to ``end`` [minutes]."""

    start: int
    end: int
    band: Band
    basis: Basis
    assumed_state: bool = False

    @property
    def assumed(self) -> bool:
        return self.assumed_state or self.basis in ASSUMED


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelRule:
    """House choices behind the pieces; ``gap_minutes`` is twice the reading interval."""

    gap_minutes: int | None = None
    ceiling: int | None = None
    mean_between: bool = True


Point = tuple[int, int]
Change = tuple[int, int]


def _between(
    before: Point, after: Point, events: Sequence[Change], *, mean: bool
) -> Iterator[Piece]:
    """Yield the pieces between two readings, the decided rule alone."""
    (start, one), (end, two) = before, after
    low, high = min(one, two), max(one, two)
    halfway = Band(low, (one + two) // 2, high)
    inside = [
        (max(first, start), min(last, end))
        for first, last in events
        if last > start and first <= end
    ]
    if not inside:
        yield Piece(start, end, halfway if mean else Band(low, two, high), Basis.MEAN)
        return
    first, last = min(f for f, _ in inside), max(end_ for _, end_ in inside)
    middle = Basis.UNCERTAIN_EVENT if len(inside) == 1 else Basis.BETWEEN_EVENTS
    yield Piece(start, first, Band.sure(one), Basis.HELD)
    yield Piece(first, last, halfway, middle)
    yield Piece(last, end, Band.sure(two), Basis.HELD)


def _before_first(
    first: Point, since: int, events: Sequence[Change], charge: Band, gap: int | None
) -> Iterator[Piece]:
    at, level = first
    inside = [(f, last) for f, last in events if f <= at and last > since]
    known_from = max((min(last, at) for _, last in inside), default=since)
    reach = since if gap is None else max(since, at - gap)
    known_from = max(known_from, reach)
    yield Piece(since, known_from, charge, Basis.NO_READING)
    yield Piece(known_from, at, Band.sure(level), Basis.CARRIED_BACK)


def _after_last(
    last: Point, until: int, events: Sequence[Change], charge: Band, gap: int | None
) -> Iterator[Piece]:
    at, level = last
    known_to = min((max(f, at) for f, end in events if end > at), default=until)
    beyond = until if gap is None else at + gap
    known_to = min(known_to, beyond, until)
    basis = Basis.GAP if known_to == beyond and known_to < until else Basis.VOIDED
    yield Piece(at, known_to, Band.sure(level), Basis.CARRIED_ON)
    yield Piece(known_to, until, charge, basis)


def _near(known: Sequence[Point], since: int, until: int) -> Sequence[Point]:
    """Keep the readings inside the span and the nearest on either side of it."""
    first = max(bisect_right(known, since, key=lambda point: point[0]) - 1, 0)
    last = bisect_left(known, until, key=lambda point: point[0]) + 1
    return known[first:last]


def pieces_of_state(
    position: Position, state: LampState, rule: LevelRule, since: int, until: int
) -> list[Piece]:
    """Return the pieces of one lighting state in [since, until), in order and without holes.

    A state without a reading of its own takes the show light's, marked. Where nothing was ever read
    the ceiling is charged; where there is no ceiling either, the stretch is dark and its basis
    says that nothing was read (the account names it as missing).
    """
    own = [reading for reading in position.readings if reading.state is state]
    assumed_state = not own and state is not LampState.SHOW
    if assumed_state:
        own = [reading for reading in position.readings if reading.state is LampState.SHOW]
    points: dict[int, int] = {}
    for reading in own:
        minute = minute_of(reading.at)
        # Two readings in one minute: the brighter counts, whatever the order they come in.
        points[minute] = max(points.get(minute, 0), reading.level)
    known = _near(sorted(points.items()), since, until)
    events = sorted((minute_of(row.first), minute_of(row.last)) for row in position.events)
    seen = [level for _, level in known]
    worst = max(seen if rule.ceiling is None else [*seen, rule.ceiling], default=0)
    charge = Band(min(seen, default=0), worst, worst)
    pieces: list[Piece] = []
    if not known:
        pieces.append(Piece(since, until, charge, Basis.NO_READING))
    else:
        pieces += _before_first(known[0], since, events, charge, rule.gap_minutes)
        for before, after in pairwise(known):
            pieces += _capped(
                _between(before, after, events, mean=rule.mean_between),
                before[0],
                charge,
                rule.gap_minutes,
            )
        pieces += _after_last(known[-1], until, events, charge, rule.gap_minutes)
    clipped = (
        Piece(max(p.start, since), min(p.end, until), p.band, p.basis, assumed_state)
        for p in pieces
    )
    return [piece for piece in clipped if piece.start < piece.end]


def _capped(
    pieces: Iterator[Piece], read_at: int, charge: Band, gap: int | None
) -> Iterator[Piece]:
    """Charge what lies more than ``gap`` minutes after the reading before it."""
    if gap is None:
        yield from pieces
        return
    limit = read_at + gap
    for piece in pieces:
        if piece.end <= limit:
            yield piece
        elif piece.start >= limit:
            yield Piece(piece.start, piece.end, charge, Basis.GAP)
        else:
            yield Piece(piece.start, limit, piece.band, piece.basis)
            yield Piece(limit, piece.end, charge, Basis.GAP)


def level_now(position: Position, state: LampState, rule: LevelRule, at: int) -> Piece:
    """Return the light a state is held to give from ``at`` on: the forecast's level.

    The last reading stands while it is young enough and no event came after it; otherwise the
    higher of ceiling and highest value seen is taken, marked.
    """
    known = replace(position, readings=tuple(r for r in position.readings if minute_of(r.at) <= at))
    return pieces_of_state(known, state, rule, at, at + 1)[0]
