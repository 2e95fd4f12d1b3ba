"""Rows to the words of the mount ticket and the imaging ticket."""

from datetime import datetime
from decimal import Decimal

from django.db.models import prefetch_related_objects

from lifecycle.papers.filling.block_o import (
    WITH_OBJECT,
    House,
    block_o,
    day,
    face_words,
    figure,
    house,
    person_name,
)
from lifecycle.papers.words.parts import BlockO
from lifecycle.papers.words.tickets import ImagingTicketWords, MountTicketWords
from lifecycle.process.cautions import CautionFor
from lifecycle.process.words import LightKind
from lifecycle.queries.preparation.mounts import fixing_lines
from lifecycle.queries.worked_back import mount_needed, schedule_of
from lifecycle.records.models.objects import Face, MuseumObject
from lifecycle.records.models.preparation import ImagingJob, ImagingPurpose, Mount
from lifecycle.records.models.treatment import MaterialTest

#: Cautions of the work with room on half a sheet; the page of the job has all of them.
AT_THE_BENCH = ("Touch", "UV lamp", "Lamps", "Always")
NOT_SAID = "not said yet"


def mount_ticket_words(mount: Mount, at: datetime) -> MountTicketWords:
    """The words of the paper; a fixed number of queries."""
    of_house, thing = house(), _object(mount.museum_object_id)
    faces = [
        line.face
        for line in mount.faces.filter(dropped=False)
        .select_related("face__thumbnail")
        .order_by("face__order", "pk")
    ]
    plan = schedule_of(mount.showing, at) if mount.showing is not None else None
    needed = mount_needed(mount, [face.pk for face in faces], plan)
    measured = of_house.moment(mount.measured_at)
    openings = (mount.opening_left_mm, mount.opening_right_mm)
    materials = mount.materials.filter(dropped=False).select_related("material").order_by("pk")
    return MountTicketWords(
        institution=of_house.name,
        about=block_o(
            thing,
            of_house=of_house,
            activity=CautionFor.INSTALL,
            only=("At the case", "Always"),
            showing=mount.showing,
            face=face_words(faces[0]) if len(faces) == 1 else None,
        ),
        mount_no=mount.mount_no,
        kind=mount.kind.label,
        faces=tuple(face.label for face in faces),
        maker=person_name(mount.with_whom) or "nobody named",
        needed_by=day(needed.on) or NOT_SAID,
        because=needed.because,
        measured=f"from the object, {measured}, {person_name(mount.measured_by)}"
        if measured
        else "not yet: measure from the object, not from the catalogue",
        angle=_degrees(mount.angle_deg) or (NOT_SAID if _widest(faces) else ""),
        widest=_widest(faces),
        openings=_openings(*openings),
        gutter=figure(mount.gutter_step_mm, "mm"),
        contact=mount.contact_points,
        restraint=mount.restraint,
        removable={True: "yes", False: "no", None: NOT_SAID}[mount.removable_alone],
        materials=tuple(
            f"{line.material}: {MaterialTest(line.acceptance).label}" for line in materials
        ),
        steps=fixing_lines(mount),
        goes_back="yes" if mount.goes_back else "no",
    )


def imaging_ticket_words(job: ImagingJob) -> ImagingTicketWords:
    """The words of the paper; a fixed number of queries."""
    of_house = house()
    face = Face.objects.select_related("thumbnail").get(pk=job.face_id)
    light = LightKind(job.light)
    work = CautionFor.EXAMINE_UV if light is LightKind.UV_FLUORESCENCE else CautionFor.EXAMINE
    shown = [light.label, job.light_direction, "UV filtered" if job.uv_filtered else ""]
    limits = [figure(job.limit_minutes, "minutes"), figure(job.limit_lux, "lx")]
    targets = (
        (job.target_number, "object number"),
        (job.target_scale, "scale"),
        (job.target_colour, "colour"),
        (job.target_grey, "grey"),
    )
    return ImagingTicketWords(
        institution=of_house.name,
        about=_about_job(job, face, of_house, work),
        job_no=job.job_no,
        purpose=ImagingPurpose(job.purpose).label,
        because=job.needed_because,
        due=day(job.due_on),
        needed_by=person_name(job.needed_by),
        photographer=person_name(job.with_whom) or "nobody named",
        handler=person_name(job.handler) or "nobody named",
        size=f"{job.size_mm} mm" if job.size_mm else "size not said",
        resolution=figure(job.resolution_ppi, "ppi"),
        targets=", ".join(name for there, name in targets if there) or "none",
        light=", ".join(part for part in shown if part),
        position=job.get_position_display(),
        limit=", ".join(part for part in limits if part) or "no limit was set: as short as can be",
        widest=_widest([face]),
    )


def _about_job(job: ImagingJob, face: Face, of_house: House, activity: CautionFor) -> BlockO:
    return block_o(
        _object(face.museum_object_id),
        of_house=of_house,
        activity=activity,
        only=AT_THE_BENCH,
        showing=job.showing,
        face=face_words(face),
    )


def _object(pk: int) -> MuseumObject:
    thing = MuseumObject.objects.select_related(*WITH_OBJECT).get(pk=pk)
    prefetch_related_objects([thing], "hazards")
    return thing


def _openings(left: Decimal | None, right: Decimal | None) -> str:
    """Both sides of an opening; the unit once where both are measured."""
    if left is None and right is None:
        return ""
    if left is None or right is None:
        return " and ".join(figure(one, "mm") or NOT_SAID for one in (left, right))
    return f"{figure(left)} and {figure(right, 'mm')}"


def _widest(faces: list[Face]) -> str:
    """How far the narrowest of these faces may be opened; nothing for what does not open."""
    angles = [face.max_opening_angle for face in faces if face.max_opening_angle is not None]
    return _degrees(min(angles)) if angles else ""


def _degrees(angle: Decimal | int | None) -> str:
    """Of an angle the sign follows without a space, other than after all other units."""
    return f"{figure(angle)}°" if angle is not None else ""
