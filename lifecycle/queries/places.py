"""The tree of places, what lies where, and places as choices with their whole path."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from uuid import UUID

from django.db.models import Count, Q

from lifecycle.process.numbers import reading_order
from lifecycle.process.rights import PersonFacts
from lifecycle.process.stages import Role
from lifecycle.process.words import PlaceKind
from lifecycle.queries.objects import STORE_KINDS, sees_all_bays
from lifecycle.queries.rights import (
    may_see_objects,
    may_see_places,
    may_see_showings,
    sees_all_showings,
)
from lifecycle.records.models import (
    DisplayPeriod,
    MuseumObject,
    Place,
    Showing,
)


@dataclass(slots=True)
class PlaceNode:
    """One place in the tree with what is inside it; ``objects`` counts what lies there itself."""

    place: Place
    objects: int
    inside: list["PlaceNode"] = field(default_factory=list)

    @property
    def kind(self) -> str:
        return PlaceKind(self.place.kind).label


def place_tree(person: PersonFacts, *, asked: str = "") -> list[PlaceNode]:
    """Return the places the person may see as a tree; the queries do not grow with it.

    What lies in a place is counted as far as the person may see it. With ``asked``, only places
    that match and those they lie in.
    """
    places = may_see_places(person, Place.objects.filter(closed_on=None)).select_related(
        "timetable"
    )
    seen = may_see_objects(person, MuseumObject.objects.all()).values("pk")
    lying = (
        Count("objects_here")
        if sees_all_showings(person)
        else Count("objects_here", filter=Q(objects_here__in=seen))
    )
    rows = places.annotate(lying=lying).order_by("pk")
    in_order = sorted(rows, key=lambda row: reading_order(row.name))
    nodes = {row.pk: PlaceNode(row, row.lying) for row in in_order}
    if asked:
        kept = _with_parents(
            (pk for pk, node in nodes.items() if asked.lower() in node.place.name.lower()), nodes
        )
        nodes = {pk: node for pk, node in nodes.items() if pk in kept}
    tops: list[PlaceNode] = []
    for node in nodes.values():
        above = nodes.get(node.place.parent_id or 0)
        (above.inside if above else tops).append(node)
    return tops


def _with_parents(found: Iterable[int], nodes: dict[int, PlaceNode]) -> set[int]:
    kept: set[int] = set()
    for pk in found:
        at: int | None = pk
        while at is not None and at in nodes and at not in kept:
            kept.add(at)
            at = nodes[at].place.parent_id
    return kept


def place_paths(
    places: Iterable[Place] | None = None, *, kinds: Iterable[PlaceKind] = ()
) -> list[tuple[UUID, str]]:
    """Return every open place with its path, 'Gallery 2, North Wing', ordered by path."""
    rows = list(Place.objects.filter(closed_on=None).order_by("pk") if places is None else places)
    by_pk = {row.pk: row for row in rows}
    wanted = frozenset(kind.value for kind in kinds)
    paths = []
    for row in rows:
        if wanted and row.kind not in wanted:
            continue
        names: list[str] = []
        at: Place | None = row
        while at is not None and len(names) < 9:
            names.append(at.name)
            at = by_pk.get(at.parent_id or 0)
        paths.append((row.uid, ", ".join(names)))
    return sorted(paths, key=lambda pair: path_order(pair[1]))


def path_order(path: str) -> tuple[tuple[tuple[int, int, str], ...], ...]:
    """Return the key that sorts paths from the outermost place inwards, bay 2 before bay 10."""
    return tuple(reading_order(name) for name in reversed(path.split(", ")))


@dataclass(frozen=True, slots=True)
class PlaceOnRecord:
    """One place: what it lies in, what lies in it, what hangs there."""

    place: Place
    above: Sequence[Place]
    inside: Sequence[Place]
    objects: Sequence[MuseumObject]
    planned: Sequence[Showing]
    on_display: Sequence[DisplayPeriod]
    is_store: bool


def place_on_record(place: Place, person: PersonFacts) -> PlaceOnRecord:
    """Read one place; objects are those that lie there or in a place inside it."""
    above: list[Place] = []
    at = place.parent
    while at is not None:
        above.insert(0, at)
        at = at.parent
    below = _below(place)
    inside = place.children.filter(closed_on=None).order_by("pk")
    lying = may_see_objects(person, MuseumObject.objects.filter(current_location__in=below))
    up = DisplayPeriod.objects.filter(place__in=below, closed_at=None, struck_at=None)
    planned = Showing.objects.filter(place__in=below, stage__in=["mounting", "ready"])
    if person.roles <= {Role.COURIER, Role.LENDER}:
        # A guest sees the objects of the pass, wherever they are, and none beside them.
        seen = may_see_showings(person, Showing.objects.all()).values("pk")
        up, planned = up.filter(showing__in=seen), planned.filter(pk__in=seen)
    return PlaceOnRecord(
        place=place,
        above=above,
        inside=sorted(may_see_places(person, inside), key=lambda row: reading_order(row.name)),
        objects=list(lying.select_related("current_location").order_by("object_number", "pk")),
        planned=list(planned.select_related("museum_object", "exhibition", "place").order_by("pk")),
        on_display=list(
            up.select_related("museum_object", "face", "place", "showing").order_by("place", "pk")
        ),
        is_store=place.kind in STORE_KINDS,
    )


def _below(place: Place) -> set[int]:
    """Return the place and everything inside it; one query for each level of the tree."""
    found, level = {place.pk}, {place.pk}
    while level:
        level = set(Place.objects.filter(parent__in=level).values_list("pk", flat=True)) - found
        found |= level
    return found


def may_see_place(person: PersonFacts, place: Place) -> bool:
    """Whether the place is open to the person: store bays are not for everybody."""
    return place.kind not in STORE_KINDS or sees_all_bays(person)


def public_places() -> list[tuple[UUID, str]]:
    """Return galleries, rooms and cases as choices: what an attendant may walk."""
    rows = Place.objects.filter(Q(closed_on=None)).order_by("pk")
    return place_paths(rows, kinds=(PlaceKind.BUILDING, PlaceKind.ROOM, PlaceKind.CASE))
