"""Fit checks: the object tried in its mount, signed by mount maker and conservator."""

from collections.abc import Iterator
from datetime import datetime

from django.db import transaction

from lifecycle.actions.preparation.mounts import about_mount
from lifecycle.actions.preparation.rights import allow_one_of
from lifecycle.actions.refusals import NotAllowed, Reason, Refused
from lifecycle.actions.signing import Hand, sign
from lifecycle.process.minutes import before
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.process.words import SignCapacity
from lifecycle.queries.preparation.mounts import fixing_lines
from lifecycle.queries.rights import person_facts
from lifecycle.records.models.objects import Face
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.preparation import FitCheck, FitResult, Mount
from lifecycle.records.models.treatment import MaterialTest


@transaction.atomic
def record_fit(
    *,
    by: Person,
    role: Role,
    at: datetime,
    mount: Mount,
    face: Face,
    checked_at: datetime,
    object_present: bool,
    result: FitResult,
    mount_maker: Person,
    conservator: Person,
    photo: Picture | None = None,
    note: str = "",
) -> FitCheck:
    """Write down a fit check; it counts when both named people have signed it.

    :raises Refused: if the mount is not made for that face, one person stands for both, or the
        time lies ahead
    """
    held = (
        Mount.objects.select_for_update(of=("self",))
        .select_related("museum_object", "showing__exhibition")
        .get(pk=mount.pk)
    )
    allow_one_of(by=by, role=role, deeds=(Deed.PREPARE,), at=at, about=about_mount(held))
    reasons = []
    if held.retired_at is not None:
        reasons.append(Reason(f"{held.mount_no} was put aside ({held.retired_why})."))
    if not held.faces.filter(face=face, dropped=False).exists():
        reasons.append(Reason(f"{held.mount_no} is not made for {face.label}.", "face"))
    if checked_at > at:
        reasons.append(Reason("The check can't lie in the future.", "checked_at"))
    if held.measured_at is None:
        text = f"{held.mount_no} was not measured from the object yet: write the ticket first."
        reasons.append(Reason(text, code="mount.measured"))
    elif before(checked_at, held.measured_at):
        text = f"{held.mount_no} was measured only afterwards: check the time."
        reasons.append(Reason(text, "checked_at"))
    reasons += _faults_of_people(mount_maker, conservator, at)
    if photo is not None and photo.face_id not in (None, face.pk):
        reasons.append(Reason(f"The picture does not show {face.label}.", "photo"))
    if result is not FitResult.FITS and not note.strip():
        reasons.append(Reason("Say what was changed, or what does not fit.", "note"))
    if reasons:
        raise Refused(reasons)
    return FitCheck(
        mount=held,
        face=face,
        checked_at=checked_at,
        object_present=object_present,
        result=result,
        note=note.strip(),
        photo=photo,
        mount_maker=mount_maker,
        conservator=conservator,
        entered_at=at,
        entered_by=by,
    ).keep(by=by, role=role, why="fit check written down", at=at)


def _faults_of_people(mount_maker: Person, conservator: Person, at: datetime) -> Iterator[Reason]:
    if mount_maker.pk == conservator.pk:
        yield Reason("A fit check takes two people: name another conservator.", "conservator")
    for field, person, role in (
        ("mount_maker", mount_maker, Role.MOUNT_MAKER),
        ("conservator", conservator, Role.CONSERVATOR),
    ):
        if role not in person_facts(person, at).roles:
            yield Reason(f"{person.full_name} is not a {role.label} here today.", field)


@transaction.atomic
def sign_fit(*, hand: Hand, at: datetime, check: FitCheck) -> FitCheck:
    """Sign as the mount maker or as the conservator the check names.

    :raises NotAllowed: for anybody else
    :raises Refused: if the object was not there, the picture is missing, or a mount material is
        untested
    """
    held = (
        FitCheck.objects.select_for_update(of=("self",))
        .select_related("mount__museum_object", "mount__kind", "face", "photo")
        .get(pk=check.pk)
    )
    named = {Role.MOUNT_MAKER: held.mount_maker_id, Role.CONSERVATOR: held.conservator_id}
    if named.get(hand.role) != hand.person.pk:
        raise NotAllowed(
            f"This fit check is signed by {held.mount_maker} as mount maker and "
            f"{held.conservator} as conservator; nobody signs for another."
        )
    reasons = []
    number = held.mount.museum_object.object_number
    if not held.object_present:
        text = f"The fit is checked with {number} present, not by measures: try it with the object."
        reasons.append(Reason(text, "object_present", "fit.object_present"))
    if held.photo is None:
        reasons.append(Reason("Attach a picture of the object in its mount.", "photo"))
    if held.mount.removable_alone is None or not fixing_lines(held.mount):
        text = (
            f"The ticket {held.mount.mount_no} does not say how it is fixed, and whether the "
            "object can be taken out alone: write that first."
        )
        reasons.append(Reason(text, code="mount.fixing"))
    if not held.mount.materials.filter(dropped=False).exists():
        text = f"The ticket {held.mount.mount_no} names no material: put the materials on it."
        reasons.append(Reason(text, code="mount.materials"))
    untested = held.mount.materials.filter(
        dropped=False, acceptance__in=(MaterialTest.TO_TEST, MaterialTest.FAILED)
    ).select_related("material")
    for line in untested.order_by("pk"):
        text = f"{line.material} is not accepted for mounts yet: test it, or replace it."
        reasons.append(Reason(text, code="mount.material"))
    if reasons:
        raise Refused(reasons)
    first = SignCapacity.AUTHOR if not held.signed else SignCapacity.CO_AUTHOR
    sign(record=held, capacity=first, hand=hand, at=at)
    return held
