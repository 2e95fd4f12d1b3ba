"""Faces: what can be turned to the visitor, each with its own light account for ever."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.db.models import Max

from lifecycle.actions.allowing import allow
from lifecycle.actions.objects.cards import card_deed, lock_object
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.stages import Role
from lifecycle.process.words import FaceKind
from lifecycle.records.models import Face, MuseumObject, Person, Picture, SensitivityClass


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceDetails:
    """What is known of one face; ``max_opening_angle`` in degrees."""

    kind: FaceKind
    label: str
    landmark: str
    max_opening_angle: int | None = None
    sensitivity_class: SensitivityClass | None = None
    never_show: bool = False
    never_show_reason: str = ""
    thumbnail: Picture | None = None


def _check(museum_object: MuseumObject, details: FaceDetails, *, besides: int | None) -> None:
    reasons = []
    label = details.label.strip()
    if not label:
        reasons.append(Reason("Name the face, as on the object: “ff. 31v-32r”, “front”.", "label"))
    twins = museum_object.faces.filter(label__iexact=label).exclude(pk=besides or 0)
    if label and twins.exists():
        reasons.append(
            Reason(
                f"{museum_object.object_number} already has a face called “{label}”. "
                "Two faces of one name cannot be told apart in the gallery.",
                "label",
            )
        )
    if not details.landmark.strip():
        reasons.append(
            Reason("Say what one sees at top left, so that it cannot hang upside down.", "landmark")
        )
    if details.never_show and not details.never_show_reason.strip():
        reasons.append(Reason("Say why this face is never shown.", "never_show_reason"))
    if details.max_opening_angle is not None and not 1 <= details.max_opening_angle <= 360:
        reasons.append(
            Reason("The widest opening is an angle from 1 to 360 degrees.", "max_opening_angle")
        )
    if details.thumbnail is not None and details.thumbnail.museum_object_id not in (
        None,
        museum_object.pk,
    ):
        reasons.append(Reason("That picture shows another object.", "thumbnail"))
    if reasons:
        raise Refused(reasons)


@transaction.atomic
def add_face(
    *, by: Person, role: Role, at: datetime, museum_object: MuseumObject, details: FaceDetails
) -> Face:
    """Add a face after those there are."""
    allow(by=by, role=role, deed=card_deed(role), at=at)
    stored = lock_object(museum_object.pk)
    _check(stored, details, besides=None)
    last = stored.faces.aggregate(last=Max("order"))["last"] or 0
    face = Face(museum_object=stored, order=last + 1)
    return _fill(face, details).keep(by=by, role=role, why="Face put on record.", at=at)


@transaction.atomic
def change_face(
    *, by: Person, role: Role, at: datetime, face: Face, details: FaceDetails, why: str
) -> Face:
    """Change what is known of a face; its light account stays with it."""
    allow(by=by, role=role, deed=card_deed(role), at=at)
    stored_object = lock_object(face.museum_object_id)
    stored = Face.objects.select_for_update().get(pk=face.pk)
    _check(stored_object, details, besides=stored.pk)
    if not why.strip():
        raise Refused(Reason("Say why the face changes; the reason stays with it.", "why"))
    return _fill(stored, details).keep(by=by, role=role, why=why, at=at)


def _fill(face: Face, details: FaceDetails) -> Face:
    for name in FaceDetails.__dataclass_fields__:
        value = getattr(details, name)
        setattr(face, name, value.strip() if isinstance(value, str) else value)
    return face
