"""The words beside the object: written, then approved by the curator."""

from datetime import datetime

from django.db import transaction

from lifecycle.actions.preparation.rights import allow_one_of
from lifecycle.actions.refusals import Conflict, Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.changes import who_saved
from lifecycle.queries.rights import about_showing
from lifecycle.records.models.objects import Face
from lifecycle.records.models.people import Person
from lifecycle.records.models.preparation import Caption, Facsimile, FacsimileState
from lifecycle.records.models.showings import Showing


@transaction.atomic
def write_caption(
    *,
    by: Person,
    role: Role,
    at: datetime,
    showing: Showing,
    face: Face | None,
    text: str,
    facsimile_wording: str = "",
    edition: int = 0,
) -> Caption:
    """Write the caption of one face (None: of all faces). A change takes its approval back.

    :raises Conflict: if somebody saved meanwhile
    :raises Refused: if it says nothing, or the face is another object's
    """
    allow_one_of(
        by=by,
        role=role,
        deeds=(Deed.CHOOSE, Deed.PREPARE),
        at=at,
        about=about_showing(showing),
    )
    held = Showing.objects.select_for_update(of=("self",)).get(pk=showing.pk)
    caption = Caption.objects.filter(showing=held, face=face).first()
    if caption is not None and caption.edition != edition:
        who = who_saved(caption)
        raise Conflict(
            f"{who} saved this caption while you were writing. Nothing of yours is lost.",
            theirs={"text": caption.text, "facsimile_wording": caption.facsimile_wording},
            mine={"text": text, "facsimile_wording": facsimile_wording},
            by=who,
            version=caption.edition,
        )
    reasons = []
    if not text.strip():
        reasons.append(Reason("Write the caption.", "text"))
    if face is not None and face.museum_object_id != held.museum_object_id:
        reasons.append(Reason(f"{face.label} is not a face of this object.", "face"))
    if facsimile_wording.strip() and "facsimile" not in facsimile_wording.lower():
        reasons.append(Reason("These words must say that it is a facsimile.", "facsimile_wording"))
    if reasons:
        raise Refused(reasons)
    if caption is None:
        caption = Caption(showing=held, face=face, edition=0)
    caption.text, caption.facsimile_wording = text.strip(), facsimile_wording.strip()
    caption.edition += 1
    caption.approved_by = caption.approved_at = None
    return caption.keep(by=by, role=role, why="caption written", at=at)


@transaction.atomic
def approve_caption(
    *, by: Person, role: Role, at: datetime, caption: Caption, edition: int
) -> Caption:
    """Approve the text that was read; a text changed meanwhile has to be read again.

    :raises Refused: if it was changed, or a facsimile is planned and the caption does not say so
    """
    held = (
        Caption.objects.select_for_update(of=("self",))
        .select_related("showing__exhibition")
        .get(pk=caption.pk)
    )
    about = about_showing(held.showing)
    allow_one_of(by=by, role=role, deeds=(Deed.CHOOSE,), at=at, about=about)
    if held.edition != edition:
        raise Refused("The caption was changed while you read it: read it again and approve.")
    if held.approved_at is not None:
        raise Refused("This caption is approved already.")
    shown = Facsimile.objects.filter(showing=held.showing).exclude(state=FacsimileState.DESTROYED)
    if shown.exists() and not held.facsimile_wording:
        text = "A facsimile will be shown: the caption has to say so, and why."
        raise Refused(Reason(text, "facsimile_wording", "caption.facsimile"))
    held.approved_by, held.approved_at = by, at
    return held.keep(by=by, role=role, why="caption approved", at=at)
