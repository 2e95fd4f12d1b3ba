"""Take an object off the list before display; say what stands in; it is back in its place."""

from datetime import datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.moves import lock_showing, make_move
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import CLOSED, Role
from lifecycle.process.words import PlaceKind
from lifecycle.queries.rights import about_showing
from lifecycle.records.models import Movement, MuseumObject, Person, Showing, Withdrawal
from lifecycle.records.models.display.ending import SubstituteKind


def _in_its_place(thing: MuseumObject, showing: Showing) -> bool:
    """Return whether the object lies where it belongs and is not on its way.

    Where no normal location is on record, it is in its place if it was not moved for this showing.
    """
    if thing.movement_lines.filter(open=True, movement__left_at__isnull=False).exists():
        return False
    here = thing.current_location
    if here is not None and here.kind == PlaceKind.LENDER and thing.lender_id is not None:
        return True
    if thing.normal_location_id is None:
        return not showing.movement_lines.filter(movement__left_at__isnull=False).exists()
    return thing.current_location_id == thing.normal_location_id


@transaction.atomic
def withdraw(
    *,
    by: Person,
    role: Role,
    at: datetime,
    showing: Showing,
    reason: str,
    substitute: SubstituteKind | None,
    substitute_object: MuseumObject | None = None,
    substitute_note: str = "",
) -> Withdrawal:
    """Withdraw the showing. Who confirmed that the object is back stands on the record: the last
    confirmed arrival, or the curator when it never left its place.

    :raises Refused: no reason, no word about a substitute, the object not back
    """
    kept = lock_showing(showing.pk)
    allow(by=by, role=role, deed=Deed.CHOOSE, at=at, about=about_showing(kept))
    thing = kept.museum_object
    reasons = []
    if not reason.strip():
        reasons.append(Reason("Say why it is withdrawn.", "reason", "withdraw.reason"))
    if substitute is None:
        text = "Say what stands in: another object, a facsimile, or nothing."
        reasons.append(Reason(text, "substitute", "withdraw.substitute"))
    if substitute is SubstituteKind.OBJECT and (
        substitute_object is None or substitute_object.pk == thing.pk
    ):
        text = f"Name the object that stands in for {thing.object_number}."
        reasons.append(Reason(text, "substitute_object", "withdraw.substitute"))
    if substitute is SubstituteKind.FACSIMILE and not substitute_note.strip():
        text = "Name the facsimile that stands in."
        reasons.append(Reason(text, "substitute_note", "withdraw.substitute"))
    here = thing.current_location
    if here is None:
        text = f"Nobody knows on record where {thing.object_number} is; confirm its place first."
        reasons.append(Reason(text, code="object.back"))
    elif not _in_its_place(thing, kept):
        home = thing.normal_location.name if thing.normal_location else "its place"
        text = (
            f"{thing.object_number} is in {here.name} and not back in {home}: bring it back and "
            "confirm it, then withdraw."
        )
        reasons.append(Reason(text, code="object.back"))
    if reasons or substitute is None or here is None:
        raise Refused(reasons)
    stand_in = substitute_object if substitute is SubstituteKind.OBJECT else None
    if stand_in is not None:
        kept.substitute = (
            Showing.objects.filter(exhibition=kept.exhibition, museum_object=stand_in)
            .exclude(stage__in=sorted(CLOSED))
            .order_by("-pk")
            .first()
        )
    kept.no_substitute_wanted = substitute is SubstituteKind.NONE_WANTED
    kept.keep(
        by=by,
        role=role,
        why="substitute settled",
        at=at,
        fields=["substitute", "no_substitute_wanted"],
    )
    last = (
        Movement.objects.filter(lines__museum_object=thing, arrival_confirmed_by__isnull=False)
        .order_by("-arrived_at", "-pk")
        .first()
    )
    row = Withdrawal(
        showing=kept,
        reason=reason.strip(),
        substitute_kind=substitute.value,
        substitute_object=stand_in,
        substitute_note=substitute_note.strip(),
        back_at=here,
        back_confirmed_by=last.arrival_confirmed_by if last and last.arrival_confirmed_by else by,
        by=by,
        role=role.value,
        at=at,
    ).append()
    make_move(showing_id=kept.pk, move="withdraw", by=by, role=role, at=at, reason=reason.strip())
    return row
