"""Put display back when a move is struck: period, turn and planned day as they were before it."""

from datetime import datetime

from django.db import transaction

from lifecycle.actions.movements.locating import set_location
from lifecycle.actions.preparation.standing_in import put_facsimiles_back
from lifecycle.actions.refusals import Refused
from lifecycle.process.stages import Role
from lifecycle.records.models import (
    Appointment,
    DisplayPeriod,
    JournalEntry,
    Movement,
    MuseumObject,
    Person,
    Showing,
    TakeDown,
    TurnRecord,
)
from lifecycle.records.models.display.rotation import AppointmentKind, AppointmentState


@transaction.atomic
def put_back(
    *, showing: Showing, entry: JournalEntry, by: Person, role: Role, at: datetime, reason: str
) -> None:
    """Undo what the struck ``entry`` did to the display of its object.

    The period that a move opened is struck, one that it closed is open again; the signed checks
    stay as they were signed.

    :raises Refused: when the object was really carried since; then the real move is recorded
    """
    _refuse_carried(showing, entry)
    undo = {
        "install": _strike_period,
        "take_over": _strike_period,
        "show_again": _back_to_rotation,
        "start_rotation": _back_on_show,
        "take_down": _back_from_take_down,
        "pass_on": _not_passed_on,
    }.get(entry.move)
    if undo is not None:
        undo(showing, by, role, at, reason)
    put_facsimiles_back(showing=showing, moved_at=entry.at, by=by, role=role, at=at, reason=reason)


def _refuse_carried(showing: Showing, entry: JournalEntry) -> None:
    carried = (
        Movement.objects.filter(
            lines__museum_object=showing.museum_object_id,
            handed_over_signature__entered_at__gt=entry.at,
        )
        .order_by("pk")
        .first()
    )
    if carried is not None:
        raise Refused(
            f"{showing.museum_object.object_number} was carried since then "
            f"({carried.movement_no}): record what really happened instead of striking it."
        )


def _latest_period(showing: Showing) -> DisplayPeriod | None:
    return (
        DisplayPeriod.objects.select_for_update(of=("self",))
        .filter(showing=showing, struck_at=None)
        .order_by("-opened_at", "-pk")
        .first()
    )


def _strike_period(
    showing: Showing, by: Person, role: Role, at: datetime, reason: str
) -> DisplayPeriod | None:
    """Strike the period the move opened, and say again where the object was carried last."""
    period = _latest_period(showing)
    if period is None or period.closed_at is not None:
        return None
    period.struck_at, period.struck_reason = at, reason
    period.keep(by=by, role=role, why=reason, at=at)
    last = (
        Movement.objects.filter(
            lines__museum_object=showing.museum_object_id, arrived_at__isnull=False
        )
        .select_related("to_place")
        .order_by("-arrived_at", "-pk")
        .first()
    )
    if last is not None:
        thing = MuseumObject.objects.select_for_update().get(pk=showing.museum_object_id)
        set_location(museum_object=thing, place=last.to_place, by=by, role=role, why=reason, at=at)
    _plan_again(showing, AppointmentKind.INSTALL, by, role, at, reason)
    return period


def _plan_again(
    showing: Showing, kind: AppointmentKind, by: Person, role: Role, at: datetime, reason: str
) -> None:
    """The planned day that the move had marked as done is still to come."""
    done = (
        Appointment.objects.select_for_update(of=("self",))
        .filter(showing=showing, kind=kind.value, state=AppointmentState.DONE.value)
        .order_by("-done_at", "-pk")
        .first()
    )
    if done is not None:
        done.state, done.done_at = AppointmentState.PLANNED.value, None
        done.keep(by=by, role=role, why=reason, at=at)


def _back_to_rotation(showing: Showing, by: Person, role: Role, at: datetime, reason: str) -> None:
    """Showing again was an error: the turn goes on with a fresh record beside the signed one."""
    period = _strike_period(showing, by, role, at, reason)
    signed = period.turn if period is not None else None
    if signed is None:
        return
    TurnRecord(
        turn_no=f"{signed.turn_no}-{signed.showing.turns.count() + 1}",
        showing=showing,
        other_showing=signed.other_showing,
        place=signed.place,
        from_face=signed.from_face,
        off_report=signed.off_report,
        photo_before=signed.photo_before,
        reason=f"Goes on after {signed.turn_no} was taken back: {reason}",
        person_1=signed.person_1,
        person_2=signed.person_2,
        started_at=signed.started_at,
    ).keep(by=by, role=role, why=reason, at=at)
    for kind in (AppointmentKind.TURN, AppointmentKind.SWAP):
        _plan_again(showing, kind, by, role, at, reason)


def _reopen(showing: Showing, by: Person, role: Role, at: datetime, reason: str) -> None:
    period = _latest_period(showing)
    if period is None or period.closed_at is None:
        return
    taken = DisplayPeriod.objects.filter(
        place=period.place, closed_at=None, struck_at=None
    ).select_related("museum_object")
    if (other := taken.first()) is not None:
        raise Refused(
            f"{other.museum_object.object_number} lies in {period.place.name} now; "
            "this move can't be taken back."
        )
    period.closed_at = None
    period.keep(by=by, role=role, why=reason, at=at)


def _back_on_show(showing: Showing, by: Person, role: Role, at: datetime, reason: str) -> None:
    turn = (
        TurnRecord.objects.select_for_update(of=("self",))
        .filter(showing=showing, done_at=None, ended_at=None)
        .first()
    )
    if turn is not None:
        turn.ended_at, turn.ended_without = at, f"taken back: {reason}"
        # The plan may be carried out by another record, so this one lets go of it.
        if turn.appointment is not None and not turn.reason:
            turn.reason = f"planned as {turn.appointment.appointment_no}"
        turn.appointment = None
        turn.keep(by=by, role=role, why=reason, at=at)
    _reopen(showing, by, role, at, reason)


def _back_from_take_down(
    showing: Showing, by: Person, role: Role, at: datetime, reason: str
) -> None:
    down = (
        TakeDown.objects.select_for_update(of=("self",))
        .filter(showing=showing, struck_at=None)
        .first()
    )
    if down is None:
        return
    down.struck_at = at
    period_id, down.period = down.period_id, None
    down.keep(by=by, role=role, why=reason, at=at)
    if period_id is not None:
        _reopen(showing, by, role, at, reason)
    else:
        _turn_goes_on(showing, by, role, at, reason)
    _plan_again(showing, AppointmentKind.DEINSTALL, by, role, at, reason)


def _turn_goes_on(showing: Showing, by: Person, role: Role, at: datetime, reason: str) -> None:
    turn = (
        TurnRecord.objects.select_for_update(of=("self",))
        .filter(showing=showing, done_at=None, ended_at__isnull=False)
        .order_by("-ended_at", "-pk")
        .first()
    )
    if turn is not None:
        turn.ended_at, turn.ended_without = None, ""
        turn.keep(by=by, role=role, why=reason, at=at)


def _not_passed_on(showing: Showing, by: Person, role: Role, at: datetime, reason: str) -> None:
    showing.passed_on_to = None
    showing.keep(by=by, role=role, why=reason, at=at, fields=["passed_on_to"])
