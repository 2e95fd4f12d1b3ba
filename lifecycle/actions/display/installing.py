"""Install one object: the check at its position, closed and signed by two, then on display."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from lifecycle.actions.display.appointments import done_today
from lifecycle.actions.display.pairs import Pair, allow_pair, pair_of, sign_by_two
from lifecycle.actions.display.photos import Photo, keep_photo
from lifecycle.actions.display.placing import faults_of_place, open_period
from lifecycle.actions.display.reading import NOTHING_READ, MeterSays, keep_reading
from lifecycle.actions.moves import lock_showing, make_move, so_far
from lifecycle.actions.preparation.standing_in import exchange_facsimiles
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.actions.signing import Hand
from lifecycle.process.moves import MOVES
from lifecycle.process.stages import Stage
from lifecycle.queries.facts import facts_of_one
from lifecycle.queries.rights import about_showing
from lifecycle.records.models import (
    Face,
    InstallCheck,
    Person,
    Picture,
    Place,
    Showing,
)
from lifecycle.records.models.display.install import ArrivalCompared, Fitted
from lifecycle.records.models.display.periods import PeriodOpening
from lifecycle.records.models.display.rotation import AppointmentKind
from lifecycle.records.models.pictures import PicturePurpose


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What the two saw at the position. ``exception`` says in words what was not as planned."""

    matches_tag: bool = False
    arrival: ArrivalCompared | None = None
    face_right: bool = False
    way_up_right: bool = False
    mount_fits: bool = False
    caption: Fitted | None = None
    facsimile: Fitted | None = None
    photo: Photo | None = None
    meter: MeterSays = NOTHING_READ
    case_rh: Decimal | None = None
    case_t_c: Decimal | None = None
    courier: Person | None = None
    courier_note: str = ""
    exception: str = ""
    deviation: str = ""
    deviation_accepted_by: Person | None = None


AS_PLANNED = Seen(
    matches_tag=True,
    arrival=ArrivalCompared.SAME,
    face_right=True,
    way_up_right=True,
    mount_fits=True,
    caption=Fitted.RIGHT,
    facsimile=Fitted.RIGHT,
)
"""What 'all as planned' says of each object. Photograph and lux are never taken for granted."""


def missing_from(seen: Seen, *, picture: Picture | None, number: str) -> Iterator[Reason]:
    """Yield everything that keeps the check of ``number`` open."""
    if not seen.matches_tag:
        text = f"Compare {number} with its tag and picture."
        yield Reason(text, "matches_tag", "install.tag")
    if seen.arrival is None:
        text = f"Say whether {number} arrived in the same condition."
        yield Reason(text, "arrival", "install.arrival")
    elif seen.arrival is not ArrivalCompared.SAME and not seen.deviation.strip():
        text = f"{number} arrived changed or can't be compared: say what, and who accepts it."
        yield Reason(text, "deviation", "install.arrival")
    if not seen.face_right:
        text = f"{number} does not show the planned face yet."
        yield Reason(text, "face_right", "install.face")
    if not seen.way_up_right:
        text = f"{number} is not confirmed the right way up."
        yield Reason(text, "way_up_right", "install.way_up")
    if picture is None:
        yield Reason(f"Photograph {number} in its place.", "photo", "install.photo")
    if not seen.mount_fits:
        text = f"The mount of {number} is not confirmed to fit without stress."
        yield Reason(text, "mount_fits", "install.mount")
    if seen.meter.lux is None:
        yield Reason(f"Read the lux at {number}'s own point.", "lux", "install.lux")
    if seen.meter.uv is None:
        yield Reason(f"Read the UV at {number}'s own point.", "uv", "install.uv")
    if seen.caption not in (Fitted.RIGHT, Fitted.NOT_NEEDED):
        yield Reason(f"The caption of {number} is not right.", "caption", "install.caption")
    if seen.facsimile not in (Fitted.RIGHT, Fitted.NOT_NEEDED):
        text = f"The facsimile beside {number} is not right."
        yield Reason(text, "facsimile", "install.facsimile")
    if seen.exception.strip():
        text = f"{number}: {seen.exception.strip()} Put it right, then close its check."
        yield Reason(text, "exception", "install.exception")


def _refuse_wrong_stage(showing: Showing) -> None:
    if showing.stage != Stage.READY:
        number = showing.museum_object.object_number
        text = f"{number} is at {Stage(showing.stage).label}: it is installed from ready."
        raise Refused(text + so_far(showing))


def _faults(
    showing: Showing, *, face: Face, place: Place, seen: Seen, begun_at: datetime, at: datetime
) -> Iterator[Reason]:
    """Yield what can't be true of a check, open or closed."""
    number = showing.museum_object.object_number
    if begun_at > at:
        yield Reason("This moment lies in the future.", "observed_at", "install.future")
    if face.museum_object_id != showing.museum_object_id:
        yield Reason(f"{face.label} is no face of {number}.", "face", "install.face")
    if seen.deviation.strip() and seen.deviation_accepted_by is None:
        text = f"Name who accepts that {number} is not as planned."
        yield Reason(text, "deviation_accepted_by", "install.deviation")
    if showing.place is not None and showing.place.pk != place.pk:
        here, there = place.name, showing.place.name
        text = f"{number} is planned for {there}, this is {here}: carry it there."
        yield Reason(text, "place_code", "install.place")


@transaction.atomic
def open_check(
    *,
    pair: Pair,
    at: datetime,
    showing: Showing,
    face: Face,
    place: Place,
    seen: Seen,
    begun_at: datetime,
    batch: UUID | None = None,
    as_planned: bool = False,
) -> InstallCheck:
    """Write down what was seen at the position, whole or not; the check stays open.

    A check that is open already is written over.

    :raises Refused: the showing is not ready, the time lies ahead, the deviation names nobody
    """
    kept = lock_showing(showing.pk)
    allow_pair(pair, at=at, about=about_showing(kept))
    _refuse_wrong_stage(kept)
    if faults := list(_faults(kept, face=face, place=place, seen=seen, begun_at=begun_at, at=at)):
        raise Refused(faults)
    lead = pair.lead
    row = (
        InstallCheck.objects.select_for_update(of=("self",))
        .filter(showing=kept, closed_at=None)
        .first()
    ) or InstallCheck(showing=kept, begun_at=begun_at)
    picture = keep_photo(
        seen.photo,
        purpose=PicturePurpose.AS_PLACED,
        face=face,
        taken_at=begun_at,
        by=lead.person,
        role=lead.role,
        at=at,
    )
    row.face, row.place, row.batch, row.as_planned = face, place, batch, as_planned
    row.person_1, row.person_2 = lead.person, pair.second.person
    row.picture = picture or row.picture
    row.matches_tag, row.face_right = seen.matches_tag, seen.face_right
    row.way_up_right, row.mount_fits = seen.way_up_right, seen.mount_fits
    row.arrival = seen.arrival.value if seen.arrival else ""
    row.caption = seen.caption.value if seen.caption else ""
    row.facsimile = seen.facsimile.value if seen.facsimile else ""
    row.lux, row.uv = seen.meter.lux, seen.meter.uv
    row.reading_point, row.meter = seen.meter.point, seen.meter.meter
    row.case_rh, row.case_t_c = seen.case_rh, seen.case_t_c
    row.courier, row.courier_note = seen.courier, seen.courier_note.strip()
    row.exception, row.deviation = seen.exception.strip(), seen.deviation.strip()
    row.deviation_accepted_by = seen.deviation_accepted_by
    return row.keep(by=lead.person, role=lead.role, why="install check written", at=at)


def _standing_in_the_way(row: InstallCheck, seen: Seen, at: datetime) -> Iterator[Reason]:
    """Yield, at once, what the check misses, who lies in the place, and what the gates miss.

    That the check is not signed by two yet is no reason: signing is what comes next.
    """
    kept, named = row.showing, {"install.check", "install.two"}
    missing = missing_from(seen, picture=row.picture, number=kept.museum_object.object_number)
    for reason in (*missing, *faults_of_place(row.place, kept)):
        named.add(reason.code)
        yield reason
    if named & {"place.taken", "place.lying"}:
        named.add("position.taken")
    facts = facts_of_one(kept, at)
    for blocker in MOVES["install"].blockers(facts):
        if blocker.code not in named:
            yield Reason(blocker.text, code=blocker.code)


@transaction.atomic
def install(
    *,
    one: Hand,
    other: Hand,
    at: datetime,
    showing: Showing,
    face: Face,
    place: Place,
    seen: Seen,
    observed_at: datetime,
    batch: UUID | None = None,
    as_planned: bool = False,
    seen_entry: UUID | None = None,
) -> InstallCheck:
    """Close the check, sign it by two, and put the object on display.

    :param seen_entry: uid of the last journal entry the people saw
    :raises Refused: with everything that is missing, from the check to the gates, each beside its
        field
    """
    pair = pair_of(one, other)
    row = open_check(
        pair=pair,
        at=at,
        showing=showing,
        face=face,
        place=place,
        seen=seen,
        begun_at=observed_at,
        batch=batch,
        as_planned=as_planned,
    )
    kept = row.showing
    if reasons := list(_standing_in_the_way(row, seen, at)):
        raise Refused(reasons)
    lead = pair.lead
    row.reading = keep_reading(
        said=seen.meter,
        place=place,
        showing=kept,
        face=face,
        read_at=observed_at,
        by=lead.person,
        role=lead.role,
        at=at,
    )
    row.closed_at = max(observed_at, row.begun_at)
    row.keep(by=lead.person, role=lead.role, why="install check closed", at=at)
    sign_by_two(record=row, pair=pair, at=at)
    make_move(
        showing_id=kept.pk,
        move="install",
        by=lead.person,
        role=lead.role,
        second=pair.second.person,
        second_role=pair.second.role,
        at=at,
        seen=seen_entry,
        evidence={"install check": [row.code]},
    )
    open_period(
        showing=kept,
        face=face,
        place=place,
        opened_by=PeriodOpening.INSTALL,
        opened_at=row.closed_at,
        by=lead.person,
        role=lead.role,
        at=at,
        install_check=row,
    )
    if seen.facsimile is Fitted.RIGHT:
        exchange_facsimiles(
            showing=kept,
            shown=face,
            place=place,
            since=row.closed_at,
            by=lead.person,
            role=lead.role,
            at=at,
        )
    done_today(kept, AppointmentKind.INSTALL, row.closed_at, by=lead.person, role=lead.role, at=at)
    return row
