"""Imaging jobs: asked, delivered with the light that was given, accepted by who needs them."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal

from django.db import transaction

from lifecycle.actions.light import charge_light
from lifecycle.actions.numbering import next_number
from lifecycle.actions.preparation.rights import allow_one_of
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.planning.ledger import EntryKind
from lifecycle.process.rights import Deed, SubjectFacts
from lifecycle.process.size_words import size_words
from lifecycle.process.stages import Role
from lifecycle.process.words import LightKind
from lifecycle.queries.rights import about_object, about_showing, museum_day
from lifecycle.queries.worked_back import schedule_of
from lifecycle.records.models.objects import Face
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.preparation import (
    ImagingFile,
    ImagingJob,
    ImagingPurpose,
    ObjectPosition,
    Target,
)
from lifecycle.records.models.showings import Showing

MINUTES_OF_AN_HOUR = Decimal(60)
A_DAY = 24 * MINUTES_OF_AN_HOUR
A_FLASH = timedelta(minutes=1)
MOST_LUX = 200_000
MOST_FLASHES = 10_000
MOST_LUX_S = 1_000_000
SECONDS_OF_AN_HOUR = 3600


@dataclass(frozen=True, slots=True, kw_only=True)
class ImagingAsked:
    """What is asked of the photographer. Resolution in pixels per inch, size in millimetres.

    Without ``due_on`` the day is worked back from the plan. The limits [min, lx] are what the face
    may be lit for these pictures; ``for_whom`` needs and accepts them, else who asks.
    """

    face: Face
    purpose: ImagingPurpose
    due_on: date | None
    needed_because: str
    resolution_ppi: int = 600
    size_mm: str = ""
    target_number: bool = True
    target_scale: bool = True
    target_colour: bool = True
    target_grey: bool = True
    light: LightKind = LightKind.DIFFUSE
    light_direction: str = ""
    uv_filtered: bool = True
    position: ObjectPosition = ObjectPosition.FLAT
    with_whom: Person | None = None
    handler: Person | None = None
    for_whom: Person | None = None
    limit_minutes: Decimal | None = None
    limit_lux: int | None = None


@transaction.atomic
def ask_for_pictures(
    *, by: Person, role: Role, at: datetime, showing: Showing, asked: ImagingAsked
) -> ImagingJob:
    """Open an imaging job for one face.

    A day that is worked back may lie in the past: then the pictures are late from the start.

    :raises Refused: if the face is another object's, a day that was typed is past, the size can't
        be true, or a raking light has no direction
    """
    about = about_showing(showing)
    allow_one_of(by=by, role=role, deeds=(Deed.PREPARE, Deed.CHOOSE), at=at, about=about)
    held = Showing.objects.select_for_update(of=("self",)).get(pk=showing.pk)
    due_on = asked.due_on or schedule_of(held, at).pictures(asked.purpose, asked.face.pk).on
    reasons = list(_faults(asked, held, at))
    if due_on is None:
        text = "The plan sets no day to work back from: name the day it is due."
        reasons.append(Reason(text, "due_on"))
    if due_on is None or reasons:
        raise Refused(reasons)
    return ImagingJob(
        job_no=next_number("IM"),
        face=asked.face,
        showing=held,
        purpose=asked.purpose,
        due_on=due_on,
        needed_because=asked.needed_because.strip(),
        for_whom=asked.for_whom,
        resolution_ppi=asked.resolution_ppi,
        size_mm=size_words(asked.size_mm),
        limit_minutes=asked.limit_minutes,
        limit_lux=asked.limit_lux,
        target_number=asked.target_number,
        target_scale=asked.target_scale,
        target_colour=asked.target_colour,
        target_grey=asked.target_grey,
        light=asked.light,
        light_direction=asked.light_direction.strip(),
        uv_filtered=asked.uv_filtered,
        position=asked.position,
        with_whom=asked.with_whom,
        handler=asked.handler,
        asked_by=by,
        asked_at=at,
    ).keep(by=by, role=role, why="pictures asked for", at=at)


def _faults(asked: ImagingAsked, showing: Showing, at: datetime) -> Iterator[Reason]:
    if asked.face.museum_object_id != showing.museum_object_id:
        yield Reason(f"{asked.face.label} is not a face of this object.", "face")
    if asked.due_on is not None and asked.due_on < museum_day(at):
        yield Reason("The day it is due lies in the past.", "due_on")
    if not asked.needed_because.strip():
        yield Reason("Say what the pictures are needed for.", "needed_because")
    if not 1 <= asked.resolution_ppi <= 10_000:
        yield Reason("Resolution lies between 1 and 10,000 ppi.", "resolution_ppi")
    try:
        size_words(asked.size_mm)
    except ValueError as fault:
        yield Reason(str(fault), "size_mm")
    if asked.limit_minutes is not None and not 0 < asked.limit_minutes <= A_DAY:
        yield Reason("The most minutes lie between 0 and 1440.", "limit_minutes")
    if asked.limit_lux is not None and not 0 < asked.limit_lux <= MOST_LUX:
        yield Reason("The most light lies between 0 and 200,000 lx.", "limit_lux")
    if asked.light is LightKind.RAKING and not asked.light_direction.strip():
        text = "Say from which side the raking light comes, as a clock seen from the front."
        yield Reason(text, "light_direction")
    if asked.for_whom is not None and asked.for_whom == asked.with_whom:
        text = "Who takes the pictures does not accept them: name who needs them."
        yield Reason(text, "for_whom")


def about_job(job: ImagingJob) -> SubjectFacts:
    """What a right to this job is about: its showing, or the object where it has none."""
    return about_showing(job.showing) if job.showing else about_object(job.face.museum_object)


def _locked(job: ImagingJob) -> ImagingJob:
    held = (
        ImagingJob.objects.select_for_update(of=("self",))
        .select_related(
            "face__museum_object", "showing__exhibition", "with_whom", "asked_by", "for_whom"
        )
        .get(pk=job.pk)
    )
    if held.dropped_at is not None:
        raise Refused(f"{held.job_no} was dropped ({held.dropped_why}).")
    return held


@transaction.atomic
def deliver_pictures(
    *,
    by: Person,
    role: Role,
    at: datetime,
    job: ImagingJob,
    pictures: Sequence[Picture],
    lit_minutes: Decimal,
    lit_lux: int,
    in_frame: Collection[Target],
    not_in_frame_why: str = "",
    flashes: int = 0,
    flash_lux_s: Decimal = Decimal(0),
    handler: Person | None = None,
    bit_depth: int | None = None,
    colour_profile: str = "",
    checksums: Mapping[int, str] | None = None,
) -> ImagingJob:
    """Deliver files, and say how long and how bright the face was lit [min, lx]: it is charged.

    So is each flash [lx·s]. A target that was asked for and is not ``in_frame`` needs a reason, for
    whoever accepts.

    Each delivery is charged by itself; the job tells the minutes and lux of the last one and the
    light of all. A limit that was passed is said on the job: light that was given is never refused.

    :param checksums: the SHA-256 that came with a file and was found to be its own, by the id of
        the picture
    :raises Refused: if no picture is given, one shows another face, a target is missing without a
        word, or the light can't be true
    """
    held = _locked(job)
    about = about_job(held)
    allow_one_of(by=by, role=role, deeds=(Deed.PREPARE,), at=at, about=about)
    reasons = []
    if held.accepted_at is not None:
        reasons.append(Reason(f"{held.job_no} is accepted already: ask for a new job."))
    if not pictures:
        reasons.append(Reason("Attach at least one picture.", "picture"))
    for picture in pictures:
        if picture.face_id != held.face_id:
            text = f"{picture} does not show {held.face.label}."
            reasons.append(Reason(text, "picture"))
    if lit_minutes < 0 or lit_minutes > A_DAY:
        reasons.append(Reason("Lit minutes lie between 0 and 1440.", "lit_minutes"))
    if lit_lux < 0 or lit_lux > MOST_LUX:
        reasons.append(Reason("Light at the object lies between 0 and 200,000 lx.", "lit_lux"))
    if (lit_minutes > 0) != (lit_lux > 0):
        text = "Minutes without light, or light without minutes: correct one of them."
        reasons.append(Reason(text, "lit_lux"))
    reasons += _faults_of_flashes(flashes, flash_lux_s)
    missing = ", ".join(one.label for one in Target if one in held.targets - set(in_frame))
    if missing and not not_in_frame_why.strip():
        text = f"Asked for and not in the frame: {missing}. Say why, or take the picture again."
        reasons.append(Reason(text, "not_in_frame_why", "imaging.target"))
    if reasons:
        raise Refused(reasons)
    held.lit_minutes, held.lit_lux = lit_minutes, lit_lux
    held.flashes, held.flash_lux_s = flashes or None, flash_lux_s or None
    held.not_in_frame = missing
    held.not_in_frame_why = not_in_frame_why.strip() if missing else ""
    given = lux_hours(lit_lux, lit_minutes, flashes, flash_lux_s)
    held.lux_hours = (held.lux_hours or 0) + given
    held.handler = handler or held.handler
    held.delivered_by, held.delivered_at, held.sent_back_why = by, at, ""
    held.keep(by=by, role=role, why="pictures delivered", at=at)
    for picture in pictures:
        ImagingFile(
            job=held,
            picture=picture,
            bit_depth=bit_depth,
            colour_profile=colour_profile.strip(),
            said_sha256=(checksums or {}).get(picture.pk, ""),
            delivered_by=by,
            delivered_at=at,
        ).append()
    if lit_minutes > 0 or flashes > 0:
        lit_for = max(timedelta(minutes=float(lit_minutes)), A_FLASH)
        taken = [picture.taken_at for picture in pictures if picture.taken_at is not None]
        lit_from = min([*taken, at - lit_for])
        charge_light(
            by=by,
            role=role,
            at=at,
            face=held.face,
            kind=EntryKind.IMAGING,
            from_at=lit_from,
            until_at=lit_from + lit_for,
            lux=Decimal(lit_lux),
            minutes=lit_minutes,
            flashes=flashes,
            flash_lux_s=flash_lux_s,
            basis=f"{held.job_no}: light as delivered",
            showing=held.showing,
        )
    return held


def _faults_of_flashes(flashes: int, flash_lux_s: Decimal) -> Iterator[Reason]:
    if not 0 <= flashes <= MOST_FLASHES:
        yield Reason("Flashes lie between 0 and 10,000.", "flashes")
    if not 0 <= flash_lux_s <= MOST_LUX_S:
        yield Reason("The light of a flash lies between 0 and 1,000,000 lx·s.", "flash_lux_s")
    if (flashes > 0) != (flash_lux_s > 0):
        text = "Flashes without their light, or light without flashes: correct one of them."
        yield Reason(text, "flash_lux_s")


def lux_hours(
    lux: int, minutes: Decimal, flashes: int = 0, flash_lux_s: Decimal = Decimal(0)
) -> Decimal:
    """Return the light given [lx·h], to a tenth; a flash is given in lx·s.

    >>> lux_hours(600, Decimal("5"))
    Decimal('50.0')
    >>> lux_hours(0, Decimal("0"), 36, Decimal("250"))
    Decimal('2.5')
    """
    given = lux * minutes / MINUTES_OF_AN_HOUR + flashes * flash_lux_s / SECONDS_OF_AN_HOUR
    return given.quantize(Decimal("0.1"), rounding=ROUND_HALF_UP)


@transaction.atomic
def accept_pictures(
    *, by: Person, role: Role, at: datetime, job: ImagingJob, instead_because: str = ""
) -> ImagingJob:
    """Accept delivered pictures, as the one who needs them; nobody accepts their own delivery.

    Somebody else with the right may, who says why it is not the one who needs them.
    """
    held = _locked(job)
    _may_judge(held, by=by, role=role, at=at)
    if held.accepted_at is not None:
        raise Refused(f"{held.job_no} is accepted already.")
    why, needs = instead_because.strip(), held.needed_by
    if needs.pk != by.pk and not why:
        text = (
            f"{needs.full_name} needs the pictures of {held.job_no} and accepts them; say why you "
            "do it instead."
        )
        raise Refused(Reason(text, "instead_because", "imaging.for_whom"))
    held.accepted_by, held.accepted_at = by, at
    said = f"pictures accepted instead of {needs.full_name}: {why}"
    return held.keep(
        by=by, role=role, why="pictures accepted" if needs.pk == by.pk else said, at=at
    )


@transaction.atomic
def send_pictures_back(
    *, by: Person, role: Role, at: datetime, job: ImagingJob, why: str
) -> ImagingJob:
    """Ask for better pictures; the delivered files stay on record."""
    held = _locked(job)
    _may_judge(held, by=by, role=role, at=at)
    if held.accepted_at is not None:
        raise Refused(f"{held.job_no} is accepted already: ask for a new job.")
    if not why.strip():
        raise Refused(Reason("Say what the pictures lack.", "why"))
    held.sent_back_why = why.strip()
    held.delivered_by = held.delivered_at = None
    return held.keep(by=by, role=role, why=why, at=at)


def _may_judge(held: ImagingJob, *, by: Person, role: Role, at: datetime) -> None:
    about = about_job(held)
    allow_one_of(by=by, role=role, deeds=(Deed.PREPARE, Deed.CHOOSE), at=at, about=about)
    if held.delivered_at is None:
        raise Refused(f"{held.job_no} is not delivered yet: there is nothing to judge.")
    if held.delivered_by_id == by.pk:
        raise Refused(
            f"{held.job_no} was delivered by you: the one who needs the pictures accepts them."
        )


@transaction.atomic
def drop_imaging(*, by: Person, role: Role, at: datetime, job: ImagingJob, why: str) -> ImagingJob:
    """Give a job up, with a reason; it no longer stands in the way."""
    held = _locked(job)
    about = about_job(held)
    allow_one_of(by=by, role=role, deeds=(Deed.PREPARE, Deed.CHOOSE), at=at, about=about)
    if held.accepted_at is not None:
        raise Refused(f"{held.job_no} is accepted already.")
    if not why.strip():
        raise Refused(Reason("Say why the pictures are no longer needed.", "why"))
    held.dropped_at, held.dropped_why = at, why.strip()
    return held.keep(by=by, role=role, why=why, at=at)
