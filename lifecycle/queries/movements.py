"""Movements: what is under way, what waits for whose signature, and the words of the slip."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Final

from django.db.models import Q, QuerySet

from lifecycle.process.carrying import Load, method_ruled_out
from lifecycle.process.rights import Deed, PersonFacts, may
from lifecycle.process.words import Hazard, Orientation, PlaceKind
from lifecycle.queries.rights import may_see_objects
from lifecycle.queries.signed_text.lines import Lines, Wording
from lifecycle.records.models import (
    Housing,
    Movement,
    MovementLine,
    MuseumObject,
    ObjectHazard,
    Place,
    RemovalCard,
    Showing,
    Vocabulary,
    Word,
)

STORE_KINDS: Final = frozenset({PlaceKind.STORE, PlaceKind.BAY, PlaceKind.SHELF})
UNCONFIRMED_AFTER: Final = timedelta(hours=24)
LIST_LIMIT: Final = 200


def loads_of(objects: Sequence[MuseumObject]) -> list[Load]:
    """Return what decides how these objects are carried, in one query."""
    hazards: dict[int, set[Hazard]] = {thing.pk: set() for thing in objects}
    rows = ObjectHazard.objects.filter(museum_object__in=list(hazards), ended_on=None)
    for object_id, hazard in rows.values_list("museum_object", "hazard"):
        hazards[object_id].add(Hazard(hazard))
    return [
        Load(
            number=thing.object_number,
            hazards=frozenset(hazards[thing.pk]),
            orientation=Orientation(thing.orientation_rule),
            weight_g=thing.weight_g,
        )
        for thing in objects
    ]


def methods_for(objects: Sequence[MuseumObject]) -> list[Word]:
    """Return the ways of carrying that may be offered for these objects; ruled out ones are not."""
    loads = loads_of(objects)
    words = Word.objects.filter(vocabulary=Vocabulary.MOVE_METHOD, retired_on=None)
    return [
        word for word in words.order_by("label", "pk") if not method_ruled_out(word.code, loads)
    ]


def codes_of(objects: Sequence[MuseumObject]) -> dict[int, set[str]]:
    """Return the short codes under which each object may be scanned: its own, and its boxes'."""
    codes = {thing.pk: {thing.code} for thing in objects}
    boxes = Housing.objects.filter(museum_object__in=list(codes), retired_at=None)
    for object_id, code in boxes.values_list("museum_object", "code"):
        codes[object_id].add(code)
    return codes


def movement_words(movement: Movement, lines: Sequence[MovementLine]) -> str:
    """Return the words both ends sign: what goes from where to where, why, on whose authority."""
    words = Wording()
    text = Lines("Movement", number=movement.movement_no)
    text.say("From", words.of(movement.from_place, "name"))
    text.say("To", words.of(movement.to_place, "name"))
    text.say("Reason", words.of(movement.reason, "label"))
    text.say("Authorised by", words.of(movement.authorised_by, "full_name"))
    text.moment("Authorised", movement.authorised_at)
    for line in sorted(lines, key=lambda one: one.museum_object.object_number):
        text.say("Object", words.of(line.museum_object, "object_number"))
        text.say("Title", words.of(line.museum_object, "title"))
    text.moment("Left", movement.left_at)
    text.moment("Arrived", movement.arrived_at)
    return text.text()


@dataclass(frozen=True, slots=True, kw_only=True)
class MovementRow:
    """One movement in a list, with what it waits for in words."""

    movement: Movement
    objects: tuple[str, ...]
    waits_for: str
    late: bool
    from_name: str
    to_name: str

    @property
    def from_outside(self) -> str:
        """Where from, for somebody who may not see store bays."""
        return named(self.movement.from_place, bays=False)

    @property
    def to_outside(self) -> str:
        return named(self.movement.to_place, bays=False)

    @property
    def state(self) -> str:
        """The mark beside it."""
        if self.movement.cancelled_at is not None:
            return "not_needed"
        if self.late:
            return "late"
        return "done" if not self.waits_for else "with_someone"


def waiting_for(movement: Movement) -> str:
    """Return what the movement waits for, or nothing when it is over."""
    if movement.cancelled_at is not None or movement.arrival_confirmed_at is not None:
        return ""
    if movement.authorised_at is None:
        return "authority"
    if movement.left_at is None:
        return "handing over"
    if movement.arrived_at is None:
        return "receipt"
    return "confirmation of arrival"


def overdue(movement: Movement, at: datetime) -> bool:
    """Return whether it left a day ago and nobody has confirmed where it is."""
    return (
        movement.left_at is not None
        and movement.arrival_confirmed_at is None
        and movement.cancelled_at is None
        and at - movement.left_at > UNCONFIRMED_AFTER
    )


def named(place: Place, *, bays: bool) -> str:
    """Return a place's name; for those who may not see store bays only that it is the store."""
    return place.name if bays or place.kind not in STORE_KINDS else "the store"


def rows_of(movements: Iterable[Movement], at: datetime, *, bays: bool = True) -> list[MovementRow]:
    """Return list rows for movements that were read with their lines prefetched.

    :param bays: whether the reader may see store bays by name
    """
    return [
        MovementRow(
            movement=movement,
            objects=tuple(line.museum_object.object_number for line in movement.lines.all()),
            waits_for=waiting_for(movement),
            late=overdue(movement, at),
            from_name=named(movement.from_place, bays=bays),
            to_name=named(movement.to_place, bays=bays),
        )
        for movement in movements
    ]


def _with_all(movements: QuerySet[Movement, Any]) -> QuerySet[Movement, Any]:
    return movements.select_related(
        "from_place", "to_place", "reason", "method", "carried_by", "handed_over_by", "received_by"
    ).prefetch_related("lines__museum_object")


def movements_list(
    person: PersonFacts, at: datetime, *, only: str = "open", words: str = ""
) -> list[MovementRow]:
    """Return the movements of objects this person may see, newest first; at most 200.

    :param only: ``open``, ``unconfirmed`` or ``all``

    :param words: part of an object number, a movement number or a place's name
    """
    rows = Movement.objects.all()
    if only == "open":
        rows = rows.filter(cancelled_at=None, arrival_confirmed_at=None)
    elif only == "unconfirmed":
        rows = rows.filter(
            cancelled_at=None, arrival_confirmed_at=None, left_at__lt=at - UNCONFIRMED_AFTER
        )
    if words.strip():
        found = words.strip()
        rows = rows.filter(
            Q(movement_no__icontains=found)
            | Q(from_place__name__icontains=found)
            | Q(to_place__name__icontains=found)
            | Q(lines__museum_object__object_number__icontains=found)
        ).distinct()
    seen = may_see_objects(person, MuseumObject.objects.all())
    if not may(person, Deed.SEE_SHOWING):
        mine = Q(lines__museum_object__in=seen.values("pk")) | Q(carried_by=person.person_id)
        rows = rows.filter(mine).distinct()
    bays = may(person, Deed.SEE_STORE_BAY)
    return rows_of(_with_all(rows).order_by("-pk")[:LIST_LIMIT], at, bays=bays)


@dataclass(frozen=True, slots=True, kw_only=True)
class MovementsOnShowing:
    """Everything the showing's page says about where the object was carried."""

    here: str
    here_outside: str
    on_the_way: MovementRow | None
    rows: tuple[MovementRow, ...]
    open_cards: tuple[RemovalCard, ...]


def on_showing(showing: Showing, at: datetime) -> MovementsOnShowing:
    """Return the object's movements for this showing and the cards that still lie in gaps."""
    movements = _with_all(Movement.objects.filter(lines__showing=showing)).order_by("-pk")
    rows = rows_of(movements[:LIST_LIMIT], at)
    cards = RemovalCard.objects.filter(
        museum_object=showing.museum_object_id, lifted_at=None
    ).select_related("place")
    here = showing.museum_object.current_location
    return MovementsOnShowing(
        here=here.name if here else "",
        here_outside=named(here, bays=False) if here else "",
        on_the_way=next(
            (row for row in rows if row.movement.left_at and not row.movement.arrived_at),
            None,
        ),
        rows=tuple(rows),
        open_cards=tuple(cards.order_by("left_at", "pk")),
    )


def on_object(museum_object: MuseumObject, at: datetime) -> list[MovementRow]:
    """Return the object's latest 20 movements, newest first."""
    movements = Movement.objects.filter(lines__museum_object=museum_object)
    return rows_of(_with_all(movements).order_by("-pk")[:20], at)
