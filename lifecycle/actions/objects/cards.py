"""Add an object's card and change it; the current location is written by movements only."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Conflict, Reason, Refused
from lifecycle.process.rights import RIGHTS, Deed
from lifecycle.process.stages import Role
from lifecycle.process.words import Orientation, OwnerKind
from lifecycle.queries.changes import changes_of, in_words, stored_words, version_of
from lifecycle.queries.object_cards import other_community
from lifecycle.records.models import (
    MuseumObject,
    Organisation,
    Person,
    Place,
    SensitivityClass,
    Word,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ObjectDetails:
    """What stands on an object's card."""

    object_number: str
    title: str
    object_type: Word
    maker: str = ""
    date_text: str = ""
    owner_kind: OwnerKind = OwnerKind.MUSEUM
    lender: Organisation | None = None
    marks: str = ""
    weight_g: int | None = None
    handling_cautions: str = ""
    orientation_rule: Orientation = Orientation.ANY
    sensitivity_class: SensitivityClass | None = None
    class_basis: str = ""
    light_passes_through: bool = False
    moisture_caution: bool = False
    normal_location: Place | None = None
    culturally_restricted: str = ""
    source_community: str = ""
    materials: Sequence[Word] = field(default=())
    techniques: Sequence[Word] = field(default=())


_COLUMNS = tuple(
    name for name in ObjectDetails.__dataclass_fields__ if name not in {"materials", "techniques"}
)


def card_deed(role: Role) -> Deed:
    """Cards are kept by conservators as part of examining, by registrars as part of registering."""
    return Deed.EXAMINE if role is Role.CONSERVATOR else Deed.REGISTER


def lock_object(pk: int) -> MuseumObject:
    """Hold the object's row until the transaction ends."""
    return MuseumObject.objects.select_for_update().get(pk=pk)


def keeps_communities(role: Role) -> bool:
    """Whether somebody in this role takes a source community off a card, or names another.

    A community that is asked before treatment was agreed with; who registers answers for that.
    """
    return role in RIGHTS[Deed.REGISTER]


def _check(details: ObjectDetails, *, besides: int | None, also: Sequence[Reason] = ()) -> None:
    """Refuse a card that could not stand, with every reason beside its field."""
    reasons = [*also]
    if not details.object_number.strip():
        reasons.append(
            Reason("Write the object number as it is marked on the object.", "object_number")
        )
    twin = (
        MuseumObject.objects.filter(object_number__iexact=details.object_number.strip())
        .exclude(pk=besides or 0)
        .first()
    )
    if twin is not None:
        reasons.append(
            Reason(
                f"{twin.object_number} is already on record: “{twin.title}”. Open that object, "
                "or correct the number.",
                "object_number",
            )
        )
    if not details.title.strip():
        reasons.append(Reason("Give the object a title.", "title"))
    if details.owner_kind is OwnerKind.LENDER and details.lender is None:
        reasons.append(Reason("Name the lender this object belongs to.", "lender"))
    if details.owner_kind is OwnerKind.MUSEUM and details.lender is not None:
        reasons.append(
            Reason(
                "An object of the museum has no lender: empty the field or change the owner.",
                "lender",
            )
        )
    if details.sensitivity_class is not None and not details.class_basis.strip():
        reasons.append(
            Reason(
                "Say what the class rests on: a material list, a test, a published category, "
                "or a cautious guess.",
                "class_basis",
            )
        )
    if reasons:
        raise Refused(reasons)


@transaction.atomic
def add_object(
    *, by: Person, role: Role, at: datetime, details: ObjectDetails, why: str = "Put on record."
) -> MuseumObject:
    """Put an object on record. It lies in its normal place until a movement says otherwise."""
    allow(by=by, role=role, deed=card_deed(role), at=at)
    _check(details, besides=None)
    made = MuseumObject(**{name: getattr(details, name) for name in _COLUMNS})
    made.object_number = made.object_number.strip()
    made.current_location = details.normal_location
    made.keep(by=by, role=role, why=why, at=at)
    made.put_lists(materials=details.materials, techniques=details.techniques)
    return made.keep(by=by, role=role, why="Materials and techniques named.", at=at)


@transaction.atomic
def change_object(
    *,
    by: Person,
    role: Role,
    at: datetime,
    museum_object: MuseumObject,
    details: ObjectDetails,
    version: int,
    why: str,
) -> MuseumObject:
    """Change an object's card.

    :raises Conflict: if somebody changed the card since ``version`` was read
    """
    allow(by=by, role=role, deed=card_deed(role), at=at)
    stored = lock_object(museum_object.pk)
    stale = version != version_of(stored)
    also = [] if stale else _against_taking_off(stored, details, role)
    _check(details, besides=stored.pk, also=also)
    if not why.strip():
        raise Refused(Reason("Say why the card changes; the reason stays with it.", "why"))
    if stale:
        _refuse_stale(stored, details)
    for name in _COLUMNS:
        setattr(stored, name, getattr(details, name))
    stored.object_number = stored.object_number.strip()
    stored.put_lists(materials=details.materials, techniques=details.techniques)
    return stored.keep(by=by, role=role, why=why, at=at)


def _against_taking_off(stored: MuseumObject, details: ObjectDetails, role: Role) -> list[Reason]:
    if keeps_communities(role) or not other_community(
        stored.source_community, details.source_community
    ):
        return []
    text = (
        f"“{stored.source_community}” is asked before any treatment of this object: only a "
        "registrar or the head of collections takes a community off or names another. Write it "
        "here again as it was, or ask one of them."
    )
    return [Reason(text, "source_community", "object.community")]


def _refuse_stale(stored: MuseumObject, details: ObjectDetails) -> None:
    """Hand back what differs, theirs and the own."""
    differing = [name for name in _COLUMNS if getattr(stored, name) != getattr(details, name)]
    last = changes_of(stored, most=1)
    raise Conflict(
        f"The card of {stored.object_number} was changed while you were writing.",
        theirs={name: stored_words(stored, name) for name in differing},
        mine={name: in_words(getattr(details, name)) for name in differing},
        by=last[0].by if last and last[0].by else "somebody else",
        version=version_of(stored),
    )
