"""Take an object off display: as found, last light, lamps off; early or in an emergency too."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final
from uuid import UUID

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.display.appointments import done_today
from lifecycle.actions.display.placing import close_period, open_period_of
from lifecycle.actions.display.reading import NOTHING_READ, MeterSays, keep_reading
from lifecycle.actions.display.rotating import latest_report, open_turn_of
from lifecycle.actions.moves import lock_showing, make_move, so_far
from lifecycle.actions.people_named import faults_of_pair
from lifecycle.actions.preparation.standing_in import take_facsimiles_out
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.days import day_words
from lifecycle.process.minutes import before
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import ReportKind
from lifecycle.queries.clock import museum_zone
from lifecycle.queries.rights import about_showing
from lifecycle.records.models import DisplayPeriod, Person, Place, Showing, TakeDown
from lifecycle.records.models.display.ending import FacsimileOut, FoundAs, MountFate
from lifecycle.records.models.display.rotation import AppointmentKind

PART_A_WITHIN: Final = timedelta(hours=1)
"""In an emergency part A may follow within the hour: our own rule."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What was seen and read at the case while the object came down."""

    taken_down_at: datetime
    lamps_off_at: datetime
    found: FoundAs
    mount: MountFate
    facsimile: FacsimileOut
    handed_to: str
    meter: MeterSays = NOTHING_READ
    no_lux_because: str = ""
    found_note: str = ""
    pests_seen: bool = False
    pest_note: str = ""
    trap_count: int | None = None
    companions_named: str = ""
    early_reason: str = ""
    curator_told_at: datetime | None = None
    lender_told_at: datetime | None = None
    emergency: bool = False


def _faults(said: Found, day: date, last_day: date, at: datetime) -> Iterator[Reason]:
    if said.taken_down_at > at:
        yield Reason("This moment lies in the future.", "taken_down_at", "takedown.future")
    if said.lamps_off_at > at:
        yield Reason("This moment lies in the future.", "lamps_off_at", "takedown.future")
    if said.meter.lux is None and not said.no_lux_because.strip():
        text = "Enter the last light reading, or say why it could not be made."
        yield Reason(text, "lux", "takedown.light")
    if said.found is FoundAs.SLIPPED and not said.found_note.strip():
        text = "Say how it had slipped; write what you see, not why."
        yield Reason(text, "found_note", "takedown.slipped")
    if said.pests_seen and not said.pest_note.strip():
        yield Reason("Say which insects or traces you saw.", "pest_note", "takedown.pests")
    if not said.handed_to.strip():
        yield Reason("Say to whom it is handed.", "handed_to", "takedown.handed_to")
    if day < last_day and not said.early_reason.strip():
        text = f"It comes down before {day_words(last_day)}, its last day: say why."
        yield Reason(text, "early_reason", "takedown.reason")
    for told, field in (
        (said.curator_told_at, "curator_told_at"),
        (said.lender_told_at, "lender_told_at"),
    ):
        if told is not None and told > at:
            yield Reason("This moment lies in the future.", field, "takedown.future")


@transaction.atomic
def take_down(
    *,
    by: Person,
    role: Role,
    at: datetime,
    showing: Showing,
    said: Found,
    second: Person | None = None,
    second_role: Role | None = None,
    seen_entry: UUID | None = None,
) -> TakeDown:
    """Take the object off display. Part A is signed before, or in an emergency within the hour.

    Open to any conservator, registrar or technician; the light ends when the lamps went off.

    :raises Refused: with everything that is missing, each beside its field
    """
    kept = lock_showing(showing.pk)
    allow(
        by=by,
        role=role,
        deed=Deed.PART_A,
        at=at,
        about=about_showing(kept, at_take_down=True),
    )
    number = kept.museum_object.object_number
    if kept.stage not in (Stage.ON_DISPLAY, Stage.ROTATION):
        text = f"{number} is at {Stage(kept.stage).label}; it is not on display.{so_far(kept)}"
        raise Refused(text)
    day = said.taken_down_at.astimezone(museum_zone()).date()
    reasons = list(_faults(said, day, kept.show_to, at))
    if second is not None:
        reasons += faults_of_pair(by, second, first_field="", second_field="second_person")
    if reasons:
        raise Refused(reasons)
    period, turn = open_period_of(kept), open_turn_of(kept)
    place: Place | None = period.place if period else turn.place if turn else None
    if place is None:
        raise Refused(f"{number} has no place on display on record.")
    if period is not None and before(said.taken_down_at, period.opened_at):
        text = "This moment lies before the face came on show; look at the date and time again."
        raise Refused(Reason(text, "taken_down_at", "takedown.before_open"))
    row = _write_down(
        kept,
        period,
        place,
        said,
        early=day < kept.show_to,
        second=second,
        by=by,
        role=role,
        at=at,
    )
    make_move(
        showing_id=kept.pk,
        move="take_down",
        by=by,
        role=role,
        second=second,
        second_role=second_role,
        at=at,
        reason=said.early_reason.strip(),
        emergency=said.emergency,
        seen=seen_entry,
    )
    if period is not None:
        close_period(
            period=period,
            closed_at=max(said.lamps_off_at, period.opened_at),
            by=by,
            role=role,
            why="lamps off, taken down",
            at=at,
        )
    if said.facsimile is FacsimileOut.OUT:
        take_facsimiles_out(showing=kept, since=said.taken_down_at, by=by, role=role, at=at)
    if turn is not None:
        turn.ended_at, turn.ended_without = said.taken_down_at, "taken down out of rotation"
        turn.keep(by=by, role=role, why="taken down out of rotation", at=at)
    done_today(kept, AppointmentKind.DEINSTALL, said.taken_down_at, by=by, role=role, at=at)
    return row


def _write_down(
    kept: Showing,
    period: DisplayPeriod | None,
    place: Place,
    said: Found,
    *,
    early: bool,
    second: Person | None,
    by: Person,
    role: Role,
    at: datetime,
) -> TakeDown:
    """Keep the last light and the row of how the object was found and taken down."""
    part_a = latest_report(kept, ReportKind.DEINSTALL_AT_CASE)
    return TakeDown(
        showing=kept,
        period=period,
        place=place,
        at=said.taken_down_at,
        lamps_off_at=said.lamps_off_at,
        reading_point=said.meter.point,
        meter=said.meter.meter,
        reading=keep_reading(
            said=said.meter,
            place=place,
            showing=kept,
            face=period.face if period else None,
            read_at=min(said.lamps_off_at, said.taken_down_at),
            by=by,
            role=role,
            at=at,
            at_take_down=True,
        ),
        last_lux=said.meter.lux,
        no_lux_because=said.no_lux_because.strip(),
        found=said.found.value,
        found_note=said.found_note.strip(),
        pests_seen=said.pests_seen,
        pest_note=said.pest_note.strip(),
        trap_count=said.trap_count,
        mount=said.mount.value,
        facsimile=said.facsimile.value,
        companions_named=said.companions_named.strip(),
        taken_down_by=by,
        second_person=second,
        handed_to=said.handed_to.strip(),
        early=early,
        early_reason=said.early_reason.strip(),
        curator_told_at=said.curator_told_at,
        lender_told_at=said.lender_told_at,
        emergency=said.emergency,
        part_a=part_a,
        part_a_due_at=said.taken_down_at + PART_A_WITHIN if part_a is None else None,
    ).keep(by=by, role=role, why="taken down", at=at)
