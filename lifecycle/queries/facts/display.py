"""The gallery side of showings: checks, periods, planned days, taking down and over."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, tzinfo
from uuid import UUID

from lifecycle.process.facts.display import (
    AppointmentFacts,
    DisplayFacts,
    InstallCheckFacts,
    OnShow,
    TakeDownFacts,
)
from lifecycle.process.facts.light import ShowingLight
from lifecycle.process.facts.showing import TakeOverFacts
from lifecycle.process.stages import Role
from lifecycle.process.words import PlaceKind
from lifecycle.records.models import (
    Appointment,
    DisplayPeriod,
    InstallCheck,
    MovementLine,
    MuseumObject,
    Showing,
    Signature,
    TakeDown,
    TakeOver,
    TurnRecord,
)

GUESTS = frozenset({Role.COURIER.value, Role.LENDER.value})
RIGHT = frozenset({"right", "not_needed", "done"})
_KINDS = {
    "install": OnShow.INSTALL,
    "turn": OnShow.TURN,
    "swap": OnShow.SWAP,
    "deinstall": OnShow.TAKE_DOWN,
}


def displays_of(
    showings: Sequence[Showing], light: dict[int, ShowingLight]
) -> dict[int, DisplayFacts]:
    """Return, per showing, what happened and what is planned at its place."""
    pks = [showing.pk for showing in showings]
    checks = {
        row.showing_id: row
        for row in InstallCheck.objects.filter(showing__in=pks, period=None).order_by("pk")
    }
    turns = {
        row.showing_id: row
        for row in TurnRecord.objects.filter(showing__in=pks, period=None, ended_at=None)
        .exclude(digest="")
        .order_by("pk")
    }
    signers = _signers([row.uid for row in (*checks.values(), *turns.values())])
    open_periods, ever = _periods(pks)
    appointments = _appointments(pks, light)
    take_downs = _take_downs(pks)
    taken = _taken_positions(showings)
    return {
        showing.pk: DisplayFacts(
            face_shown=open_periods[showing.pk].face_id if showing.pk in open_periods else None,
            shown_since=(
                open_periods[showing.pk].opened_at if showing.pk in open_periods else None
            ),
            ever_shown=showing.pk in ever,
            position=showing.place.name if showing.place else "",
            position_taken_by=taken.get(showing.pk, ""),
            install=_install(checks.get(showing.pk), signers),
            show_again=_show_again(turns.get(showing.pk), signers),
            appointments=tuple(appointments[showing.pk]),
            take_down=take_downs.get(showing.pk),
        )
        for showing in showings
    }


@dataclass(frozen=True, slots=True)
class Hands:
    """Who signed a check: full names, each once, and whether the lender's side was among them."""

    names: tuple[str, ...] = ()
    guest: bool = False


def _signers(uids: Sequence[UUID]) -> dict[UUID, Hands]:
    found: dict[UUID, Hands] = defaultdict(Hands)
    rows = Signature.objects.filter(record_uid__in=uids).select_related("person").order_by("pk")
    for row in rows:
        hands = found[row.record_uid]
        guest = row.role in GUESTS
        names = hands.names if guest else (*hands.names, row.person.full_name)
        found[row.record_uid] = Hands(tuple(dict.fromkeys(names)), hands.guest or guest)
    return found


def _periods(pks: Sequence[int]) -> tuple[dict[int, DisplayPeriod], set[int]]:
    rows = list(DisplayPeriod.objects.filter(showing__in=pks, struck_at=None).order_by("pk"))
    open_ones = {row.showing_id: row for row in rows if row.closed_at is None}
    return open_ones, {row.showing_id for row in rows}


def _install(row: InstallCheck | None, signers: dict[UUID, Hands]) -> InstallCheckFacts | None:
    if row is None:
        return None
    return InstallCheckFacts(
        uid=str(row.uid),
        signed_by=signers[row.uid].names,
        face_id=row.face_id,
        right_way_up=row.way_up_right and row.face_right,
        photographed=row.picture_id is not None,
        mount_fits=row.mount_fits,
        lux=row.lux,
        uv=row.uv,
        courier_present=row.courier_id is not None or signers[row.uid].guest,
        caption_right=row.caption in RIGHT,
        facsimile_right=row.facsimile in RIGHT,
        at=row.closed_at,
    )


def _show_again(row: TurnRecord | None, signers: dict[UUID, Hands]) -> InstallCheckFacts | None:
    if row is None:
        return None
    return InstallCheckFacts(
        uid=str(row.uid),
        signed_by=signers[row.uid].names,
        face_id=row.to_face_id,
        right_way_up=row.way_up_right,
        photographed=row.photo_after_id is not None,
        mount_fits=row.support_fits,
        lux=row.lux_after,
        uv=row.uv_after,
        courier_present=signers[row.uid].guest,
        caption_right=row.caption in RIGHT,
        facsimile_right=row.facsimile in RIGHT,
        at=row.done_at,
    )


def _appointments(
    pks: Sequence[int], light: dict[int, ShowingLight]
) -> dict[int, list[AppointmentFacts]]:
    found: dict[int, list[AppointmentFacts]] = defaultdict(list)
    rows = Appointment.objects.filter(showing__in=pks).exclude(state="cancelled")
    rows = rows.select_related("person_1", "person_2", "to_face").order_by("day", "pk")
    rows = rows.prefetch_related("other_showing__museum_object")  # swaps alone have one
    for row in rows:
        account = light.get(row.showing_id, ShowingLight())
        line = account.of(row.from_face_id) if row.from_face_id is not None else None
        people = (row.person_1, row.person_2)
        found[row.showing_id].append(
            AppointmentFacts(
                uid=str(row.uid),
                kind=_KINDS[row.kind],
                day=row.day,
                people=tuple(
                    p.full_name for p in people if p.ends_on is None or p.ends_on >= row.day
                ),
                people_ids=frozenset(p.pk for p in people),
                last_day=line.last_day if line is not None else None,
                to_face_id=row.to_face_id if row.kind == "turn" else None,
                to_face=row.to_face.label if row.to_face else "",
                swap_for=(
                    row.other_showing.museum_object.object_number if row.other_showing else ""
                ),
                done=row.state == "done",
                occurrence=row.appointment_no,
                reason=row.reason,
            )
        )
    return found


def _take_downs(pks: Sequence[int]) -> dict[int, TakeDownFacts]:
    return {
        row.showing_id: TakeDownFacts(
            uid=str(row.uid),
            lamps_off_at=row.lamps_off_at,
            last_lux=row.last_lux,
            reading_impossible=row.no_lux_because,
            early=row.early,
            reason=row.early_reason,
            told_curator=row.curator_told_at is not None,
            told_lender=row.lender_told_at is not None,
            emergency=row.emergency,
        )
        for row in TakeDown.objects.filter(showing__in=pks, struck_at=None).order_by("pk")
    }


def _taken_positions(showings: Sequence[Showing]) -> dict[int, str]:
    """Which other object lies in the planned position: on display there, or brought there."""
    places = {showing.place_id for showing in showings if showing.place_id is not None}
    lying: dict[int, list[tuple[int, str]]] = defaultdict(list)
    periods = DisplayPeriod.objects.filter(place__in=places, closed_at=None, struck_at=None)
    here = periods.values_list("place_id", "museum_object_id", "museum_object__object_number")
    gone = MovementLine.objects.filter(open=True, movement__left_at__isnull=False)
    brought = (
        MuseumObject.objects.filter(
            current_location__in=places, current_location__kind=PlaceKind.POSITION.value
        )
        .exclude(pk__in=gone.values("museum_object"))
        .values_list("current_location_id", "pk", "object_number")
    )
    for place_id, object_id, number in (*here, *brought):
        if place_id is not None:
            lying[place_id].append((object_id, number))
    found = {}
    for showing in showings:
        for object_id, number in lying.get(showing.place_id or 0, []):
            if object_id != showing.museum_object_id:
                found[showing.pk] = number
    return found


def take_overs_of(
    showings: Sequence[Showing], at: datetime, zone: tzinfo, open_until: date | None
) -> dict[int, TakeOverFacts]:
    """Return, per showing, what was stated when it was taken over, or an empty statement."""
    today = at.astimezone(zone).date()
    period_open = open_until is not None and open_until >= today
    rows = {row.showing_id: row for row in TakeOver.objects.filter(showing__in=showings)}
    found = {}
    for showing in showings:
        row = rows.get(showing.pk)
        if row is None:
            found[showing.pk] = TakeOverFacts(period_open=period_open)
            continue
        found[showing.pk] = TakeOverFacts(
            period_open=period_open,
            entered=True,
            face=True,
            place=row.place_id is not None,
            since=row.since_from is not None or row.since_certainty == "not_known",
            report_named=row.last_report != "",
            report_none_known=row.no_report_known,
            light_so_far=row.light_basis != "",
            missing=frozenset(
                "part_a" for line in row.missing if str(line).lower().startswith("part a")
            ),
            missing_listed=True,
        )
    return found
