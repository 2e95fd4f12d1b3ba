"""Turns: the off-going face leaves its place, the on-coming face is shown, read and signed."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db import transaction

from lifecycle.actions.display.pairs import Pair, allow_pair, pair_of, sign_by_two
from lifecycle.actions.display.photos import Photo, keep_photo
from lifecycle.actions.display.placing import (
    close_period,
    open_period,
    open_period_of,
    refuse_taken,
)
from lifecycle.actions.display.reading import NOTHING_READ, MeterSays, keep_reading
from lifecycle.actions.moves import lock_showing, make_move, so_far
from lifecycle.actions.numbering import next_number
from lifecycle.actions.preparation.standing_in import exchange_facsimiles
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.actions.signing import Hand
from lifecycle.process.minutes import before
from lifecycle.process.words import ReportKind
from lifecycle.queries.display.companions import companions_on_show, names
from lifecycle.queries.rights import about_showing
from lifecycle.records.models import (
    Appointment,
    ConditionReport,
    Face,
    Person,
    Place,
    Showing,
    TurnRecord,
)
from lifecycle.records.models.display.periods import PeriodOpening
from lifecycle.records.models.display.rotation import (
    STILL_TO_COME,
    AppointmentKind,
    AppointmentState,
    SupportDone,
    SwapDone,
)
from lifecycle.records.models.pictures import PicturePurpose


def latest_report(showing: Showing, kind: ReportKind) -> ConditionReport | None:
    """Return the youngest signed report of a kind of this showing."""
    return (
        ConditionReport.objects.filter(showing=showing, kind=kind.value)
        .exclude(digest="")
        .order_by("-examined_at", "-pk")
        .first()
    )


def open_turn_of(showing: Showing) -> TurnRecord | None:
    """Return the turn that has begun and is not finished, locked for writing."""
    return (
        TurnRecord.objects.select_for_update(of=("self",))
        .filter(showing=showing, done_at=None, ended_at=None)
        .first()
    )


def still_planned(appointment: Appointment | None, showing: Showing) -> Appointment | None:
    """Return the planned turn or swap, locked; refuse one that is over or of another showing."""
    if appointment is None:
        return None
    row = Appointment.objects.select_for_update(of=("self",)).get(pk=appointment.pk)
    if row.showing_id != showing.pk:
        raise Refused(f"{row.appointment_no} was planned for another showing.")
    if row.state not in STILL_TO_COME:
        raise Refused(f"{row.appointment_no} is {AppointmentState(row.state).label} already.")
    return row


@transaction.atomic
def start_rotation(
    *,
    one: Hand,
    other: Hand,
    at: datetime,
    showing: Showing,
    started_at: datetime,
    appointment: Appointment | None = None,
    other_showing: Showing | None = None,
    reason: str = "",
    photo_before: Photo | None = None,
    seen_entry: UUID | None = None,
) -> TurnRecord:
    """Take the face that is shown out of its place, after it was compared feature by feature.

    :raises Refused: nothing is on display, no report of the off-going face, no plan and no reason
    """
    pair = pair_of(one, other)
    kept = lock_showing(showing.pk)
    allow_pair(pair, at=at, about=about_showing(kept))
    number = kept.museum_object.object_number
    period = open_period_of(kept)
    planned = still_planned(appointment, kept)
    reasons = []
    if period is None:
        raise Refused(f"{number} is not on display; there is nothing to turn.{so_far(kept)}")
    if started_at > at:
        text = "This moment lies in the future."
        reasons.append(Reason(text, "started_at", "turn.future"))
    if planned is None and not reason.strip():
        text = f"No turn is planned for {number} today: plan one, or say why it is turned now."
        reasons.append(Reason(text, "reason", "turn.reason"))
    if reasons:
        raise Refused(reasons)
    lead = pair.lead
    make_move(
        showing_id=kept.pk,
        move="start_rotation",
        by=lead.person,
        role=lead.role,
        second=pair.second.person,
        second_role=pair.second.role,
        at=at,
        reason=reason.strip(),
        seen=seen_entry,
    )
    close_period(
        period=period,
        closed_at=started_at,
        by=lead.person,
        role=lead.role,
        why="taken out for a turn or swap",
        at=at,
    )
    return TurnRecord(
        turn_no=next_number("TN"),
        appointment=planned,
        showing=kept,
        other_showing=other_showing or (planned.other_showing if planned else None),
        place=period.place,
        from_face=period.face,
        to_face=planned.to_face if planned and planned.kind == AppointmentKind.TURN else None,
        reason=reason.strip(),
        off_report=latest_report(kept, ReportKind.OFF_GOING_FACE),
        photo_before=keep_photo(
            photo_before,
            purpose=PicturePurpose.AS_FOUND,
            face=period.face,
            taken_at=started_at,
            by=lead.person,
            role=lead.role,
            at=at,
            field="photo_before",
        ),
        person_1=lead.person,
        person_2=pair.second.person,
        started_at=started_at,
    ).keep(by=lead.person, role=lead.role, why="rotation started", at=at)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """What the two saw when the on-coming face was in its place."""

    to_face: Face
    place: Place
    support: SupportDone | None = None
    support_fits: bool = False
    way_up_right: bool = False
    facsimile: SwapDone | None = None
    caption: SwapDone | None = None
    companions_named: str = ""
    photo_after: Photo | None = None
    meter: MeterSays = NOTHING_READ
    courier: Person | None = None


def _missing(shown: Shown, turn: TurnRecord, number: str) -> list[Reason]:
    label = shown.to_face.label
    asked = (
        (shown.support is not None, "support", f"Say what was done to the support of {number}."),
        (shown.support_fits, "support_fits", f"The support is not confirmed to fit {label}."),
        (shown.way_up_right, "way_up_right", f"{label} is not confirmed the right way up."),
        (shown.facsimile is not None, "facsimile", "Say whether the facsimile was exchanged."),
        (shown.caption is not None, "caption", "Say whether the caption was exchanged."),
        (
            shown.photo_after is not None or turn.photo_after_id is not None,
            "photo_after",
            f"Photograph {number} with {label} in its place.",
        ),
        (shown.meter.lux is not None, "lux", "Read the lux again: this face may sit higher."),
        (shown.meter.uv is not None, "uv", "Read the UV again."),
    )
    missing = [Reason(text, field, f"turn.{field}") for said, field, text in asked if not said]
    for period in companions_on_show(turn.showing.museum_object_id):
        other = period.museum_object.object_number
        if not names(shown.companions_named, other):
            text = (
                f"{other} in {period.place.name} belongs with {number}: name it, and say whether "
                "it lies as it did."
            )
            missing.append(Reason(text, "companions_named", "turn.companions"))
    return missing


@transaction.atomic
def show_again(
    *,
    one: Hand,
    other: Hand,
    at: datetime,
    showing: Showing,
    shown: Shown,
    done_at: datetime,
    seen_entry: UUID | None = None,
) -> TurnRecord:
    """Put the on-coming face on display: support, way up, facsimile, caption, light, photograph.

    :raises Refused: with everything that is missing, each beside its field
    """
    pair: Pair = pair_of(one, other)
    kept = lock_showing(showing.pk)
    allow_pair(pair, at=at, about=about_showing(kept))
    number, turn = kept.museum_object.object_number, open_turn_of(kept)
    if turn is None:
        raise Refused(f"{number} is not in rotation; nothing was taken out.{so_far(kept)}")
    reasons = _missing(shown, turn, number)
    if shown.to_face.museum_object_id != kept.museum_object_id:
        text = f"{shown.to_face.label} is no face of {number}."
        reasons.append(Reason(text, "to_face", "turn.face"))
    if before(done_at, turn.started_at) or done_at > at:
        text = "The turn ended after it began and not in the future; look at the time again."
        reasons.append(Reason(text, "done_at", "turn.time"))
    if reasons:
        raise Refused(reasons)
    done_at = max(done_at, turn.started_at)
    refuse_taken(shown.place, kept)
    lead = pair.lead
    _write_onto(turn, kept, shown, pair, done_at, at)
    turn.done_at = done_at
    turn.keep(by=lead.person, role=lead.role, why="on-coming face shown", at=at)
    sign_by_two(record=turn, pair=pair, at=at)
    make_move(
        showing_id=kept.pk,
        move="show_again",
        by=lead.person,
        role=lead.role,
        second=pair.second.person,
        second_role=pair.second.role,
        at=at,
        seen=seen_entry,
        evidence={"turn record": [turn.turn_no]},
    )
    open_period(
        showing=kept,
        face=shown.to_face,
        place=shown.place,
        opened_by=PeriodOpening.SWAP if turn.other_showing_id else PeriodOpening.TURN,
        opened_at=done_at,
        by=lead.person,
        role=lead.role,
        at=at,
        turn=turn,
    )
    if shown.facsimile is SwapDone.DONE:
        exchange_facsimiles(
            showing=kept,
            shown=shown.to_face,
            place=shown.place,
            since=done_at,
            by=lead.person,
            role=lead.role,
            at=at,
        )
    finish_planned(turn, kept, done_at, lead, at)
    return turn


def _write_onto(
    turn: TurnRecord, kept: Showing, shown: Shown, pair: Pair, done_at: datetime, at: datetime
) -> None:
    """Write what the two did and saw onto the turn, with its photograph and its light."""
    lead = pair.lead
    turn.to_face, turn.to_place = shown.to_face, shown.place
    turn.on_report = latest_report(kept, ReportKind.ON_COMING_FACE)
    turn.support = shown.support.value if shown.support else ""
    turn.facsimile = shown.facsimile.value if shown.facsimile else ""
    turn.caption = shown.caption.value if shown.caption else ""
    turn.support_fits, turn.way_up_right = shown.support_fits, shown.way_up_right
    turn.courier, turn.companions_named = shown.courier, shown.companions_named.strip()
    turn.lux_after, turn.uv_after = shown.meter.lux, shown.meter.uv
    turn.reading_point, turn.meter = shown.meter.point, shown.meter.meter
    turn.person_1, turn.person_2 = lead.person, pair.second.person
    turn.photo_after = (
        keep_photo(
            shown.photo_after,
            purpose=PicturePurpose.AS_PLACED,
            face=shown.to_face,
            taken_at=done_at,
            by=lead.person,
            role=lead.role,
            at=at,
            field="photo_after",
        )
        or turn.photo_after
    )
    turn.reading = keep_reading(
        said=shown.meter,
        place=shown.place,
        showing=kept,
        face=shown.to_face,
        read_at=done_at,
        by=lead.person,
        role=lead.role,
        at=at,
    )


def finish_planned(
    turn: TurnRecord, showing: Showing, done_at: datetime, hand: Hand, at: datetime
) -> None:
    """Mark the planned turn or swap behind this record as done."""
    if turn.appointment_id is None:
        return
    planned = Appointment.objects.select_for_update(of=("self",)).get(pk=turn.appointment_id)
    if planned.state in STILL_TO_COME:
        planned.state, planned.done_at = AppointmentState.DONE.value, done_at
        planned.keep(by=hand.person, role=hand.role, why="turn made", at=at)
