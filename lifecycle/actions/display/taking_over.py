"""Take over what already hangs when the museum begins; nothing is signed backwards."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Final

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.display.placing import open_period, refuse_taken
from lifecycle.actions.light import enter_past_light
from lifecycle.actions.movements.locating import set_location
from lifecycle.actions.moves import make_move
from lifecycle.actions.numbering import next_number
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.days import day_words
from lifecycle.process.rights import Deed
from lifecycle.process.saying import TAKEN_OVER_INTO
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import Certainty
from lifecycle.queries.rights import about_exhibition, museum_day
from lifecycle.records.models import (
    Document,
    Exhibition,
    Face,
    FaceWanted,
    MuseumObject,
    Person,
    Place,
    Showing,
    TakeOver,
)
from lifecycle.records.models.display.periods import PeriodOpening

MISSING: Final = {
    "baseline": "no signed baseline report",
    "install_check": "no signed install check",
    "mount_fit": "no mount fit on record",
    "facsimile": "no facsimile of the hidden face",
    "light_readings": "no light readings so far",
    "part_a": "no part A, as found",
    "consent": "no consent to treatment on record",
}
"""What may be stated as missing, by code; it is listed and never signed backwards."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stated:
    """What the museum knows of an object that was under way before it had this record.

    Light so far in lx·h, low, likely and high, with its basis in words.
    """

    face: Face
    place: Place
    to: Stage
    since_from: datetime | None
    since_to: datetime | None
    since_certainty: Certainty
    light_low: int
    light_likely: int
    light_high: int
    light_basis: str
    last_report: str = ""
    last_report_scan: Document | None = None
    no_report_known: bool = False
    missing: Sequence[str] = ()
    note: str = ""


def faults_of(thing: MuseumObject, said: Stated, at: datetime) -> Iterator[Reason]:
    """Yield what is wrong with what is stated, before any row is locked."""
    if said.to not in TAKEN_OVER_INTO:
        yield Reason("Say at which stage it is taken over.", "to", "takeover.stage")
    if said.face.museum_object_id != thing.pk:
        text = f"{said.face.label} is no face of {thing.object_number}."
        yield Reason(text, "face", "takeover.face")
    if said.since_from is None:
        text = "Say since when, from the earliest day it may have been."
        yield Reason(text, "since_from", "takeover.since")
    elif said.since_to is not None and said.since_to < said.since_from:
        text = "The later end of the span lies before the earlier one."
        yield Reason(text, "since_to", "takeover.since")
    if any(moment is not None and moment > at for moment in (said.since_from, said.since_to)):
        yield Reason("This moment lies in the future.", "since_from", "takeover.since")
    if not said.light_low <= said.light_likely <= said.light_high:
        text = "Low, likely and high follow each other; correct the figures."
        yield Reason(text, "light_likely", "takeover.light")
    if not said.light_basis.strip():
        text = "Say what the light so far was estimated from."
        yield Reason(text, "light_basis", "takeover.light")
    if said.no_report_known == bool(said.last_report.strip()):
        text = "Name the last report with its scan, or state that none is known."
        yield Reason(text, "last_report", "takeover.report")
    if said.last_report.strip() and said.last_report_scan is None:
        text = "Attach the scan of the last report."
        yield Reason(text, "last_report_scan", "takeover.report")
    if strange := sorted(set(said.missing) - set(MISSING)):
        yield Reason(f"{', '.join(strange)} is not in the list.", "missing", "takeover.missing")


@transaction.atomic
def take_over(
    *,
    by: Person,
    role: Role,
    at: datetime,
    exhibition: Exhibition,
    museum_object: MuseumObject,
    said: Stated,
    conservator: Person,
) -> Showing:
    """Enter a showing that was under way before the record began, as far as it is known.

    It shows as 'taken over on <date>' for ever. Light so far goes into the account as an estimate.

    :raises Refused: outside the taking-over period, or when something stated does not hold
    """
    allow(by=by, role=role, deed=Deed.REGISTER, at=at, about=about_exhibition(exhibition))
    thing = MuseumObject.objects.select_for_update().get(pk=museum_object.pk)
    if reasons := list(faults_of(thing, said, at)):
        raise Refused(reasons)
    today = museum_day(at)
    showing = Showing(
        request_no=next_number("RQ"),
        exhibition=exhibition,
        museum_object=thing,
        asked_by=by,
        asked_at=at,
        reason=f"Taken over as it was found on {day_words(today)}.",
        show_from=exhibition.opens,
        show_to=exhibition.closes,
        place=said.place if said.to is not Stage.REHOUSING else None,
        no_alternative_because="taken over",
        duplicates_seen=True,
        taken_over_on=today,
        taken_over_note=said.note.strip(),
    ).keep(by=by, role=role, why="taken over", at=at)
    FaceWanted(
        showing=showing,
        face=said.face,
        order=1,
        from_on=exhibition.opens,
        until_on=exhibition.closes,
    ).keep(by=by, role=role, why="taken over", at=at)
    TakeOver(
        showing=showing,
        face=said.face,
        place=said.place,
        since_from=said.since_from,
        since_to=said.since_to,
        since_certainty=said.since_certainty.value,
        last_report=said.last_report.strip(),
        last_report_scan=said.last_report_scan,
        no_report_known=said.no_report_known,
        light_low_lx_h=said.light_low,
        light_likely_lx_h=said.light_likely,
        light_high_lx_h=said.light_high,
        light_basis=said.light_basis.strip(),
        missing=[{"code": code, "text": MISSING[code]} for code in dict.fromkeys(said.missing)],
        registrar=by,
        conservator=conservator,
        at=at,
    ).append()
    make_move(
        showing_id=showing.pk,
        move="take_over",
        by=by,
        role=role,
        second=conservator,
        second_role=Role.CONSERVATOR,
        to=said.to,
        at=at,
    )
    if said.light_high > 0 and said.since_from is not None:
        enter_past_light(
            by=conservator,
            role=Role.CONSERVATOR,
            at=at,
            face=said.face,
            from_at=said.since_from,
            until_at=max(at, said.since_from + timedelta(minutes=1)),
            low=Decimal(said.light_low),
            likely=Decimal(said.light_likely),
            high=Decimal(said.light_high),
            basis=said.light_basis.strip(),
            source=f"Taken over on {day_words(today)}",
        )
    if said.to is Stage.ON_DISPLAY:
        refuse_taken(said.place, showing)
        # From now on readings count; the light before is the estimate above.
        open_period(
            showing=showing,
            face=said.face,
            place=said.place,
            opened_by=PeriodOpening.TAKEN_OVER,
            opened_at=at,
            by=by,
            role=role,
            at=at,
        )
    else:
        set_location(
            museum_object=thing, place=said.place, by=by, role=role, why="taken over", at=at
        )
    showing.refresh_from_db()
    return showing
