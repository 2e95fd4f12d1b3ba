"""Objects as lists and cards show them, filtered by what the person may see."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Prefetch, Q, QuerySet

from lifecycle.process.numbers import reading_order
from lifecycle.process.rights import RIGHTS, Deed, PersonFacts, always, may
from lifecycle.process.stages import CLOSED, Stage
from lifecycle.process.words import Hazard, PlaceKind
from lifecycle.queries.rights import about_object, may_see_objects
from lifecycle.records.models import (
    Companionship,
    Component,
    DisplayPeriod,
    Face,
    Hold,
    Measure,
    MuseumObject,
    ObjectHazard,
    OtherNumber,
    Place,
    Showing,
)

STORE_KINDS = frozenset({PlaceKind.STORE, PlaceKind.BAY, PlaceKind.SHELF})


def sees_all_bays(person: PersonFacts) -> bool:
    """Whether the person sees every store bay, whatever the object."""
    cells = RIGHTS[Deed.SEE_STORE_BAY]
    return any(cells.get(post.role) is always for post in person.posts if not post.deputy)


def place_words(place: Place | None, *, with_bay: bool) -> str:
    """Say where something is: its place and what that lies in; a bay only for those who may."""
    if place is None:
        return "not recorded"
    if place.kind in STORE_KINDS and not with_bay:
        return "in store"
    return f"{place.name}, {place.parent.name}" if place.parent else place.name


@dataclass(frozen=True, slots=True)
class ObjectLine:
    """One object as a list shows it."""

    museum_object: MuseumObject
    where: str
    showing: Showing | None
    hazards: tuple[str, ...]

    @property
    def stage(self) -> str:
        return Stage(self.showing.stage).label if self.showing else ""


def matching(objects: QuerySet[MuseumObject], asked: str) -> QuerySet[MuseumObject]:
    """Narrow to objects whose number, title, maker or other number holds what was typed."""
    for word in asked.split():
        objects = objects.filter(
            Q(object_number__icontains=word)
            | Q(title__icontains=word)
            | Q(maker__icontains=word)
            | Q(code__iexact=word)
            | Q(pk__in=OtherNumber.objects.filter(number__icontains=word).values("museum_object"))
        )
    return objects


def objects_for(
    person: PersonFacts,
    *,
    asked: str = "",
    exhibition_id: int | None = None,
    on_display: bool = False,
) -> QuerySet[MuseumObject]:
    """Return the objects the person may see, narrowed, in the order of their numbers."""
    objects = may_see_objects(person, MuseumObject.objects.all())
    objects = matching(objects, asked)
    if exhibition_id is not None:
        shown = Showing.objects.filter(exhibition=exhibition_id).values("museum_object")
        objects = objects.filter(pk__in=shown)
    if on_display:
        up = DisplayPeriod.objects.filter(closed_at=None, struck_at=None).values("museum_object")
        objects = objects.filter(pk__in=up)
    return objects.order_by("object_number", "pk")


def as_read(objects: QuerySet[MuseumObject]) -> list[int]:
    """Return the row ids in the order a person reads the numbers, in one query of two columns."""
    rows = objects.order_by().values_list("pk", "object_number")
    return [pk for pk, _ in sorted(rows, key=lambda row: (reading_order(row[1]), row[0]))]


def object_lines(person: PersonFacts, objects: Iterable[int]) -> list[ObjectLine]:
    """Return the lines of one page of objects, as they are read, in a fixed number of queries."""
    with_bay = sees_all_bays(person)
    open_showings: QuerySet[Any, Any] = (
        Showing.objects.exclude(stage__in=sorted(CLOSED))
        .select_related("exhibition")
        .order_by("pk")
    )
    hazards: QuerySet[Any, Any] = ObjectHazard.objects.filter(ended_on=None).order_by("pk")
    rows = (
        MuseumObject.objects.filter(pk__in=list(objects))
        .select_related("object_type", "current_location__parent")
        .prefetch_related(
            Prefetch("showings", open_showings, to_attr="under_way"),
            Prefetch("hazards", hazards, to_attr="now"),
        )
        .order_by("pk")
    )
    in_order = sorted(rows, key=lambda row: reading_order(row.object_number))
    return [_line(row, with_bay=with_bay) for row in in_order]


def _line(row: MuseumObject, *, with_bay: bool) -> ObjectLine:
    under_way: list[Showing] = row.under_way  # type: ignore[attr-defined]
    hazards: list[ObjectHazard] = row.now  # type: ignore[attr-defined]
    past = [one for one in under_way if one.stage != Stage.SELECTION] or under_way
    found = [one for one in hazards if one.hazard != Hazard.NONE_KNOWN]
    return ObjectLine(
        museum_object=row,
        where=place_words(row.current_location, with_bay=with_bay),
        showing=past[0] if past else None,
        hazards=tuple(Hazard(one.hazard).label for one in found),
    )


@dataclass(frozen=True, slots=True)
class ObjectOnRecord:
    """Everything on one object's card."""

    museum_object: MuseumObject
    faces: Sequence[Face]
    hazards: Sequence[ObjectHazard]
    measures: Sequence[Measure]
    components: Sequence[Component]
    other_numbers: Sequence[OtherNumber]
    companions: Sequence[Companionship]
    showings: Sequence[Showing]
    holds: Sequence[Hold]
    on_display: DisplayPeriod | None
    where: str
    home: str
    materials: str
    techniques: str
    sees_restriction: bool
    sees_bay: bool


def object_on_record(museum_object: MuseumObject, person: PersonFacts, day: date) -> ObjectOnRecord:
    """Read one object's card in a fixed number of queries."""
    with_bay = may(person, Deed.SEE_STORE_BAY, about_object(museum_object))
    stored = MuseumObject.objects.select_related(
        "object_type",
        "lender",
        "sensitivity_class",
        "current_location__parent",
        "normal_location__parent",
    ).get(pk=museum_object.pk)
    companions = (
        Companionship.objects.filter(Q(museum_object=stored) | Q(companion=stored), ended_on=None)
        .select_related("museum_object", "companion")
        .order_by("pk")
    )
    words = sorted(word.label for word in stored.materials.all())
    techniques = sorted(word.label for word in stored.techniques.all())
    return ObjectOnRecord(
        museum_object=stored,
        faces=list(
            stored.faces.select_related("thumbnail", "sensitivity_class").order_by("order", "pk")
        ),
        hazards=list(stored.hazards.filter(ended_on=None).order_by("pk")),
        measures=list(stored.measures.order_by("pk")),
        components=list(stored.components.order_by("label", "pk")),
        other_numbers=list(stored.other_numbers.order_by("kind", "pk")),
        companions=list(companions),
        showings=list(stored.showings.select_related("exhibition").order_by("-show_from", "-pk")),
        holds=list(stored.holds.filter(lifted_at=None).order_by("pk")),
        on_display=DisplayPeriod.objects.filter(
            museum_object=stored, closed_at=None, struck_at=None
        )
        .select_related("face", "place", "showing__exhibition")
        .first(),
        where=place_words(stored.current_location, with_bay=with_bay),
        home=place_words(stored.normal_location, with_bay=with_bay),
        materials=", ".join(words),
        techniques=", ".join(techniques),
        sees_restriction=may(person, Deed.EXAMINE) or may(person, Deed.REGISTER),
        sees_bay=with_bay,
    )
