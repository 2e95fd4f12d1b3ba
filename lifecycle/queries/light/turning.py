"""What a question about turn days rests on: faces in order, their light, the days, the hands."""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from enum import StrEnum

from lifecycle.planning.fitting import fit
from lifecycle.planning.ledger import FaceInputs, ledger_of
from lifecycle.planning.lit_hours import LampState, Timetable
from lifecycle.planning.moments import day_start, local_day
from lifecycle.planning.quantities import LEVELS_PER_LX, level_of, lux_of
from lifecycle.planning.turn_days import EvenBy, TurnAnswer, TurnQuestion, turn_days
from lifecycle.planning.turns import Run, TurnDay, Turned, When, closed_days
from lifecycle.queries.hands import hands_by_day
from lifecycle.queries.light.checks import caps_of, up_period
from lifecycle.queries.light.gathering import Gathered
from lifecycle.records.models import Appointment, DisplayPeriod, Face, Movement, Showing, TurnRecord
from lifecycle.records.models.display.rotation import STILL_TO_COME

DAY = timedelta(1)
#: Faces in order, each with the light it hangs in as read or planned [lx].
Faces = tuple[tuple[Face, Decimal], ...]


class Allowed(StrEnum):
    """On which days a turn may be made."""

    CLOSED = "closed"
    OPEN = "open"
    ANY = "any"

    @property
    def label(self) -> str:
        return {
            Allowed.CLOSED: "closed days",
            Allowed.OPEN: "open days, before opening",
            Allowed.ANY: "both",
        }[self]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What the person chooses; ``lux`` is what they say of single faces, by primary key [lx]."""

    even_by: EvenBy = EvenBy.THIS_SHOWING
    allowed: Allowed = Allowed.CLOSED
    least_days: int = 1
    any_order: bool = False
    lux: Mapping[int, Decimal] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DayAround:
    """Who could do it on a day, and what else is planned then."""

    hands: int
    planned: int


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnDaysAsked:
    """The answer with its showing; ``lacks`` says in words why there is none."""

    showing: Showing
    faces: Faces
    answer: TurnAnswer | None
    around: Mapping[date, DayAround]
    handled: int
    lacks: tuple[str, ...] = ()


def turn_days_of(
    showing: Showing, at: datetime, wish: Wish | Callable[[Faces], Wish]
) -> TurnDaysAsked:
    """Return the turn days of a showing from here on, in a fixed number of queries.

    :param wish: what the person chooses, or what says so once the faces and their light are known
    """
    gathered = Gathered([], at, showings=[showing])
    kept = gathered.showings[showing.pk]
    up = up_period(gathered, kept)
    rows = gathered.wanted[kept.pk]
    faces = _faces(gathered, kept, up)
    lacks = list(_lacks(gathered, kept, faces))
    place_id = kept.place_id if up is None else up.place_id
    table = gathered.book.timetable(place_id, gathered.exhibition_timetable(kept))
    if table is None:
        lacks.append("Neither its place nor the exhibition has a lit timetable.")
    first = gathered.today if up is not None else min((r.from_on for r in rows), default=None)
    last = max((row.until_on for row in rows), default=kept.show_to)
    if first is None or last <= first:
        lacks.append("No day of its plan lies ahead.")
    handled = (
        TurnRecord.objects.filter(showing=kept).count()
        + Movement.objects.filter(
            lines__museum_object=kept.museum_object_id,
            left_at__gte=gathered.day_moment(kept.show_from),
        ).count()
    )
    if lacks or table is None or first is None:
        named = tuple((face, Decimal(0)) for face in faces)
        return TurnDaysAsked(
            showing=kept,
            faces=named,
            answer=None,
            around={},
            handled=handled,
            lacks=tuple(lacks),
        )
    inputs = {face.pk: gathered.inputs(face, leave_out=kept.pk) for face in faces}
    as_read = tuple(
        (face, lux_of(_levels(gathered, kept, face, inputs[face.pk], up)[0])) for face in faces
    )
    if not isinstance(wish, Wish):
        wish = wish(as_read)
    run = Run(
        timetable=table,
        zone=gathered.zone.key,
        first=first,
        last=last,
        allowed=tuple(_allowed(kept, table, gathered.zone.key, first, last, wish.allowed)),
        least_days=wish.least_days,
    )
    turned = tuple(
        _turned(gathered, kept, face, inputs[face.pk], up, (first, last), wish) for face in faces
    )
    rule = gathered.class_rule(faces[0])
    limits = gathered.class_limits(faces[0])
    answer = turn_days(
        TurnQuestion(
            run=run,
            faces=turned,
            even_by=wish.even_by,
            any_order=wish.any_order,
            fixed=0 if up is None else 1,
            shown_from=_shown_from(gathered, kept),
            needed_above=(
                None
                if rule is None or limits is None
                else limits.allowance * rule.turn_needed_above_percent // 100
            ),
            rule="" if limits is None else limits.name.capitalize(),
        )
    )
    return TurnDaysAsked(
        showing=kept,
        faces=as_read,
        answer=answer,
        around=_around([row.day for row in answer.sharing.allowed], kept),
        handled=handled,
    )


def _shown_from(gathered: Gathered, showing: Showing) -> date | None:
    """Return the day on which the first face of this showing went up."""
    opened = [row.opened_at.astimezone(gathered.zone).date() for row in gathered.shown_in(showing)]
    return min(opened, default=None)


def _faces(gathered: Gathered, showing: Showing, up: DisplayPeriod | None) -> list[Face]:
    """Return the face that is up, then those still to come in the order of the plan."""
    shown = {row.face_id for row in gathered.shown_in(showing)}
    rows = gathered.wanted[showing.pk]
    pks = [] if up is None else [up.face_id]
    pks += [
        row.face_id
        for row in rows
        if row.face_id not in pks and (up is None or row.face_id not in shown)
    ]
    return [gathered.faces[pk] for pk in dict.fromkeys(pks) if pk in gathered.faces]


def _lacks(gathered: Gathered, showing: Showing, faces: Sequence[Face]) -> list[str]:
    number = showing.museum_object.object_number
    if not faces:
        return [f"The plan of {showing.request_no} names no face."]
    if gathered.shares_light(faces[0]):
        return [
            f"Light passes through {number}: every face is charged whichever is up, so a turn "
            "saves nothing."
        ]
    if len(faces) < 2:
        return [f"The plan names one face only, {faces[0].label}: there is nothing to turn to."]
    return [f"{face.label} is never shown." for face in faces if face.never_show]


def _allowed(
    showing: Showing, table: Timetable, zone: str, first: date, last: date, allowed: Allowed
) -> list[TurnDay]:
    show = showing.exhibition
    named = {date.fromisoformat(day) for day in show.extra_closed_days}
    closed = set(closed_days(first, last, table, zone)) | named
    days = [first + timedelta(n) for n in range(1, (last - first).days + 1)]
    found = []
    for day in days:
        if day in closed or day.weekday() in show.closed_weekdays:
            if allowed is not Allowed.OPEN:
                found.append(TurnDay(day, When.CLOSED))
        elif allowed is not Allowed.CLOSED:
            found.append(TurnDay(day, When.BEFORE_OPENING))
    return found


def _turned(
    gathered: Gathered,
    showing: Showing,
    face: Face,
    inputs: FaceInputs,
    up: DisplayPeriod | None,
    run: tuple[date, date],
    wish: Wish,
) -> Turned:
    ledger = ledger_of(inputs)
    start = day_start(run[0], gathered.zone)
    here = [row for row in ledger.exposures if row.stay.ref == str(showing.uid)]
    in_showing = sum(row.dose(row.start, min(row.end, start)).likely for row in here)
    is_up = up is not None and up.face_id == face.pk
    level, other = _levels(gathered, showing, face, inputs, up, (wish.lux or {}).get(face.pk))
    left = _left(gathered, showing, face, inputs, run)
    before, weight = in_showing, 1
    if wish.even_by is EvenBy.LIFETIME:
        before = ledger.spent(0, start).likely
    elif wish.even_by is EvenBy.SHARE_LEFT:
        weight = max(1, left if left is not None else 1)
    caps = caps_of(gathered, showing, run[1])
    weeks = [w for w in (caps.max_weeks, inputs.limits and inputs.limits.max_weeks) if w]
    had = [local_day(row.start, gathered.zone) for row in here] if is_up else []
    days_had = (run[0] - min(had, default=run[0])).days
    most = [value for value in (left, caps.dose) if value is not None]
    return Turned(
        label=face.label,
        level=level,
        other=other,
        before=before,
        weight=weight,
        most=max(0, min(most) - in_showing) if most else None,
        last_day=caps.loan_ends,
        most_days=max(1, 7 * min(weeks) - days_had) if weeks else None,
        ref=str(face.uid),
    )


def _levels(
    gathered: Gathered,
    showing: Showing,
    face: Face,
    inputs: FaceInputs,
    up: DisplayPeriod | None,
    said: Decimal | None = None,
) -> tuple[int, tuple[tuple[LampState, int], ...]]:
    """Return the light a face will hang in: what the person says, what is read, what is planned."""
    if said is not None:
        return level_of(said), ()
    is_up = up is not None and up.face_id == face.pk
    open_now = ledger_of(inputs).open_exposures if is_up else []
    ahead = open_now[-1].going_on(open_now[-1].end + 1) if open_now else None
    if ahead is not None:
        levels = {state: piece.band.likely for state, piece in ahead.levels}
        show = levels.pop(LampState.SHOW, 0)
        return show, tuple(sorted(levels.items()))
    planned = gathered.planned_level(showing, face)
    return (gathered.ceilings(showing.pk, face)[0] or 0) * LEVELS_PER_LX if planned is None else (
        planned
    ), ()


def _left(
    gathered: Gathered, showing: Showing, face: Face, inputs: FaceInputs, run: tuple[date, date]
) -> int | None:
    """Return what the account holds for this showing on its tightest day [units]."""
    if inputs.limits is None:
        return None
    own = gathered.plans_in(showing, face)
    found = fit(inputs, own, str(showing.uid))
    return inputs.limits.allowance if found is None else max(0, found.left)


def _around(days: Sequence[date], showing: Showing) -> dict[date, DayAround]:
    hands = hands_by_day(days)
    rows = Appointment.objects.filter(day__in=days, state__in=STILL_TO_COME)
    planned = Counter(rows.exclude(showing=showing).values_list("day", flat=True))
    return {day: DayAround(hands=hands[day], planned=planned[day]) for day in days}
