"""Mount tickets: asked for, measured from the object, made of accepted materials, put aside."""

from collections.abc import Sequence
from dataclasses import dataclass, fields
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from lifecycle.actions.numbering import next_number
from lifecycle.actions.preparation.rights import allow_one_of
from lifecycle.actions.refusals import Conflict, Reason, Refused
from lifecycle.process.rights import Deed, SubjectFacts
from lifecycle.process.stages import Role
from lifecycle.queries.changes import who_saved
from lifecycle.queries.rights import about_object, about_showing
from lifecycle.records.models.objects import Face
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.preparation import Mount, MountFace, MountMaterial
from lifecycle.records.models.showings import Showing
from lifecycle.records.models.treatment import Material, MaterialTest
from lifecycle.records.models.words import Vocabulary, Word

TICKET_TEXTS = ("contact_points", "restraint", "fixing_instruction")


@dataclass(frozen=True, slots=True, kw_only=True)
class MountMeasured:
    """What the mount maker writes on the ticket. Lengths in millimetres, angle in degrees."""

    measured_at: datetime | None = None
    measured_by: Person | None = None
    angle_deg: int | None = None
    opening_left_mm: Decimal | None = None
    opening_right_mm: Decimal | None = None
    gutter_step_mm: Decimal | None = None
    contact_points: str = ""
    restraint: str = ""
    removable_alone: bool | None = None
    fixing_instruction: str = ""
    fixing_picture: Picture | None = None
    goes_back: bool = False


def about_mount(mount: Mount) -> SubjectFacts:
    return about_showing(mount.showing) if mount.showing else about_object(mount.museum_object)


@transaction.atomic
def ask_for_mount(
    *,
    by: Person,
    role: Role,
    at: datetime,
    showing: Showing,
    kind: Word,
    faces: Sequence[Face],
    with_whom: Person | None = None,
    needed_by: date | None = None,
) -> Mount:
    """Open a mount ticket for one face or several of the plan.

    While no day is named it is needed by the day that the plan, as it stands, is worked back to.

    :raises Refused: if no face is named, or one is another object's
    """
    allow_one_of(
        by=by,
        role=role,
        deeds=(Deed.PREPARE, Deed.CHOOSE),
        at=at,
        about=about_showing(showing),
    )
    held = Showing.objects.select_for_update(of=("self",)).get(pk=showing.pk)
    reasons = []
    if kind.vocabulary != Vocabulary.MOUNT_KIND:
        reasons.append(Reason(f"{kind.label} is not a kind of mount.", "kind"))
    if not faces:
        reasons.append(Reason("Name the faces this mount is made for.", "faces"))
    for face in faces:
        if face.museum_object_id != held.museum_object_id:
            reasons.append(Reason(f"{face.label} is not a face of this object.", "faces"))
    if reasons:
        raise Refused(reasons)
    mount = Mount(
        mount_no=next_number("MT"),
        museum_object_id=held.museum_object_id,
        showing=held,
        kind=kind,
        with_whom=with_whom,
        needed_by=needed_by,
        asked_by=by,
        asked_at=at,
    ).keep(by=by, role=role, why="mount asked for", at=at)
    for face in {face.pk: face for face in faces}.values():
        MountFace(mount=mount, face=face).keep(by=by, role=role, why="mount asked for", at=at)
    return mount


def locked_mount(mount: Mount) -> Mount:
    """The mount, locked, with what a right to it is about. Errors: Refused once it is aside."""
    held = (
        Mount.objects.select_for_update(of=("self",))
        .select_related("museum_object", "showing__exhibition", "kind")
        .get(pk=mount.pk)
    )
    if held.retired_at is not None:
        raise Refused(f"{held.mount_no} was put aside ({held.retired_why}).")
    return held


@transaction.atomic
def measure_mount(
    *,
    by: Person,
    role: Role,
    at: datetime,
    mount: Mount,
    edition: int,
    measured: MountMeasured,
) -> Mount:
    """Write the ticket: measured from the object, not from the catalogue.

    :raises Conflict: if somebody saved meanwhile
    :raises Refused: if a measure can't be true, or the angle is wider than the face allows
    """
    held = locked_mount(mount)
    allow_one_of(by=by, role=role, deeds=(Deed.PREPARE,), at=at, about=about_mount(held))
    if held.edition != edition:
        who = who_saved(held)
        raise Conflict(
            f"{who} saved {held.mount_no} while you were writing. Nothing of yours is lost.",
            theirs={name: getattr(held, name) for name in TICKET_TEXTS},
            mine={name: getattr(measured, name) for name in TICKET_TEXTS},
            by=who,
            version=held.edition,
        )
    reasons = []
    if measured.measured_at is not None and measured.measured_at > at:
        reasons.append(Reason("It can't have been measured in the future.", "measured_at"))
    if measured.measured_at is not None and measured.measured_by is None:
        reasons.append(Reason("Say who measured.", "measured_by"))
    for name in ("opening_left_mm", "opening_right_mm", "gutter_step_mm"):
        value = getattr(measured, name)
        if value is not None and value < 0:
            reasons.append(Reason("A length can't be below nothing.", name))
    if measured.angle_deg is not None:
        lines = held.faces.filter(dropped=False).select_related("face")
        angles = [line.face.max_opening_angle for line in lines]
        widest = [angle for angle in angles if angle is not None]
        if not 0 <= measured.angle_deg <= 180:
            reasons.append(Reason("The angle lies between 0 and 180°.", "angle_deg"))
        elif widest and measured.angle_deg > min(widest):
            text = (
                f"{measured.angle_deg}° is wider than the binding allows ({min(widest)}°): "
                "the binding decides, not the design."
            )
            reasons.append(Reason(text, "angle_deg", "mount.angle"))
    if reasons:
        raise Refused(reasons)
    for field in fields(measured):
        setattr(held, field.name, getattr(measured, field.name))
    held.edition += 1
    return held.keep(by=by, role=role, why="ticket written", at=at)


@transaction.atomic
def add_mount_material(
    *,
    by: Person,
    role: Role,
    at: datetime,
    mount: Mount,
    material: Material,
    accepted_by: Person | None = None,
) -> MountMaterial:
    """Put a material on the ticket; how it is accepted comes from the material itself."""
    held = locked_mount(mount)
    allow_one_of(by=by, role=role, deeds=(Deed.PREPARE,), at=at, about=about_mount(held))
    if material.test_state == MaterialTest.FAILED:
        text = f"{material} failed its test and touches no object: choose another."
        raise Refused(Reason(text, "material", "material.failed"))
    line = held.materials.filter(material=material).first() or MountMaterial(
        mount=held, material=material
    )
    line.acceptance = (
        material.test_state if material.accepted_for_mount else MaterialTest.TO_TEST.value
    )
    line.accepted_by = accepted_by if material.accepted_for_mount else None
    line.dropped = False
    return line.keep(by=by, role=role, why="material put on the ticket", at=at)


@transaction.atomic
def put_mount_aside(*, by: Person, role: Role, at: datetime, mount: Mount, why: str) -> Mount:
    """Put a mount aside; it no longer serves any face."""
    held = locked_mount(mount)
    allow_one_of(by=by, role=role, deeds=(Deed.PREPARE,), at=at, about=about_mount(held))
    if not why.strip():
        raise Refused(Reason("Say why it is put aside.", "why"))
    held.retired_at, held.retired_why = at, why.strip()
    return held.keep(by=by, role=role, why=why, at=at)
