"""Objects' cards as plain words: what a table of objects says, and what the records say now.

Both sides of an import are written in the same words, so that they can be compared cell by cell,
and a table that was written from the records reads back as unchanged.
"""

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, Final

from django.db.models import F, Model, QuerySet

from lifecycle.process.numbers import reading_order
from lifecycle.process.words import FaceKind, Hazard, HazardEvidence, Orientation, OwnerKind
from lifecycle.queries.places import path_order, place_paths
from lifecycle.records.models import (
    Component,
    Face,
    Measure,
    MuseumObject,
    ObjectHazard,
    Organisation,
    OtherNumber,
    Place,
    SensitivityClass,
    Vocabulary,
    Word,
)

#: Text columns of a card: key in tables, column in the records.
TEXTS: Final[Mapping[str, str]] = {
    "object_number": "object_number",
    "title": "title",
    "maker": "maker",
    "date": "date_text",
    "marks": "marks",
    "cautions": "handling_cautions",
    "class_basis": "class_basis",
    "restricted": "culturally_restricted",
    "community": "source_community",
}
TRUTHS: Final[Mapping[str, str]] = {
    "light_passes": "light_passes_through",
    "moisture": "moisture_caution",
}


@dataclass(frozen=True, slots=True)
class HazardWords:
    """One hazard in words: how it is known, and what protects."""

    evidence: str
    protection: str = ""


@dataclass(slots=True)
class Card:
    """One object in words. Keys of lists are what tells their entries apart.

    ``values`` by column key; ``sizes`` by state: height, width, depth [mm] in words; ``faces`` by
    label: ``kind``, ``landmark``, ``angle``, ``class``, ``never``, ``never_why``.
    """

    values: dict[str, str] = field(default_factory=dict)
    materials: tuple[str, ...] = ()
    techniques: tuple[str, ...] = ()
    numbers: tuple[tuple[str, str], ...] = ()
    sizes: dict[str, tuple[str, str, str]] = field(default_factory=dict)
    components: dict[str, str] = field(default_factory=dict)
    hazards: dict[str, HazardWords] = field(default_factory=dict)
    faces: dict[str, dict[str, str]] = field(default_factory=dict)

    def copy(self) -> "Card":
        """A card of its own with the same words."""
        return Card(
            values=dict(self.values),
            materials=self.materials,
            techniques=self.techniques,
            numbers=self.numbers,
            sizes=dict(self.sizes),
            components=dict(self.components),
            hazards=dict(self.hazards),
            faces={label: dict(face) for label, face in self.faces.items()},
        )


def plain_number(value: Decimal | int | None) -> str:
    """A number without noughts that say nothing."""
    if value is None:
        return ""
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def yes_or_no(value: bool) -> str:
    return "yes" if value else "no"


def cards_of(
    objects: Sequence[MuseumObject], *, with_bay: bool = True, with_restriction: bool = True
) -> list[Card]:
    """Return the cards of these objects in a fixed number of queries for each 500 of them.

    :param with_bay: whether usual places in store are written out
    :param with_restriction: whether cultural restrictions are written out
    """
    known = Named()
    hidden = set() if with_bay else known.in_store
    cards = []
    for start in range(0, len(objects), 500):
        piece = objects[start : start + 500]
        beside = _Beside([one.pk for one in piece])
        for one in piece:
            card = _card(one, beside, known, hidden)
            if not with_restriction:
                card.values["restricted"] = ""
            cards.append(card)
    return cards


class Named:
    """Names of what cards point at, read once: four queries."""

    def __init__(self) -> None:
        self.words = dict(Word.objects.values_list("pk", "label"))
        self.lenders = dict(Organisation.objects.values_list("pk", "name"))
        self.classes = dict(SensitivityClass.objects.values_list("pk", "label"))
        places = list(Place.objects.order_by("pk"))
        keys = {place.uid: place.pk for place in places}
        self.places = {keys[uid]: path for uid, path in place_paths(places)}
        stores = {"store", "bay", "shelf"}
        self.in_store = {place.pk for place in places if place.kind in stores}


class _Beside:
    """What belongs to some objects, by object: seven queries."""

    def __init__(self, keys: Sequence[int]) -> None:
        self.numbers = _by_object(OtherNumber.objects.filter(museum_object__in=keys))
        self.sizes = _by_object(Measure.objects.filter(museum_object__in=keys))
        self.components = _by_object(Component.objects.filter(museum_object__in=keys))
        self.hazards = _by_object(
            ObjectHazard.objects.filter(museum_object__in=keys, ended_on=None)
        )
        self.faces = _by_object(Face.objects.filter(museum_object__in=keys), "order")
        self.materials = _links(MuseumObject.materials.through, keys)
        self.techniques = _links(MuseumObject.techniques.through, keys)


def _by_object(rows: QuerySet[Any], *first: str) -> dict[int, list[Any]]:
    found: dict[int, list[Any]] = defaultdict(list)
    for row in rows.order_by(*first, "pk"):
        found[row.museum_object_id].append(row)
    return found


def _links(through: type[Model], keys: Sequence[int]) -> dict[int, list[int]]:
    found: dict[int, list[int]] = defaultdict(list)
    rows: Any = through._default_manager.filter(museumobject__in=keys)
    for key, word in rows.values_list("museumobject", "word"):
        found[key].append(word)
    return found


def _card(one: MuseumObject, beside: _Beside, known: Named, hidden: set[int]) -> Card:
    values = {key: getattr(one, column) for key, column in TEXTS.items()}
    values |= {key: yes_or_no(getattr(one, column)) for key, column in TRUTHS.items()}
    place = one.normal_location_id
    values |= {
        "object_type": known.words[one.object_type_id],
        "owner": OwnerKind(one.owner_kind).label,
        "lender": known.lenders.get(one.lender_id or 0, ""),
        "weight": plain_number(one.weight_g),
        "orientation": Orientation(one.orientation_rule).label,
        "class": known.classes.get(one.sensitivity_class_id or 0, ""),
        "place": "in store" if place in hidden else known.places.get(place or 0, ""),
    }
    return Card(
        values=values,
        materials=words_in_order(known.words[pk] for pk in beside.materials[one.pk]),
        techniques=words_in_order(known.words[pk] for pk in beside.techniques[one.pk]),
        numbers=tuple((row.kind, row.number) for row in beside.numbers[one.pk]),
        sizes={
            row.state: (
                plain_number(row.height_mm),
                plain_number(row.width_mm),
                plain_number(row.depth_mm),
            )
            for row in beside.sizes[one.pk]
        },
        components={row.label: row.description for row in beside.components[one.pk]},
        hazards={
            Hazard(row.hazard).label: HazardWords(
                HazardEvidence(row.evidence).label, row.protection
            )
            for row in beside.hazards[one.pk]
        },
        faces={row.label: _face(row, known) for row in beside.faces[one.pk]},
    )


def _face(row: Face, known: Named) -> dict[str, str]:
    return {
        "kind": FaceKind(row.kind).label,
        "landmark": row.landmark,
        "angle": plain_number(row.max_opening_angle),
        "class": known.classes.get(row.sensitivity_class_id or 0, ""),
        "never": yes_or_no(row.never_show),
        "never_why": row.never_show_reason,
    }


def words_in_order(words: Iterable[str]) -> tuple[str, ...]:
    return tuple(sorted(set(words), key=str.casefold))


def bare_number(number: str) -> str:
    """An object number as two people would find it the same: no blanks, no capitals."""
    return "".join(number.split()).casefold()


def other_community(before: str, after: str) -> bool:
    """Whether a community that was named is taken off, or another named in its place."""
    there, wanted = (" ".join(name.split()).casefold() for name in (before, after))
    return bool(there) and there != wanted


_SIGNS: Final = re.compile(r"\s*([,>])\s*|\s+")


def _evened(sign: re.Match[str]) -> str:
    """Blanks around the signs between places as we write them."""
    return {",": ", ", ">": " > "}.get(sign[1] or "", " ")


@dataclass(frozen=True, slots=True)
class Lookup:
    """Words that may stand in one kind of cell: as typed, without case, to the word as kept."""

    name: str
    words: Mapping[str, str]
    keys: Mapping[str, int] = field(default_factory=dict)
    retired: frozenset[str] = frozenset()  # stay where they are, are given to nothing new

    def find(self, text: str) -> str | None:
        """The word as it is kept, or None."""
        found = self.words.get(" ".join(text.split()).casefold())
        return found or self.words.get(_SIGNS.sub(_evened, text).strip().casefold())

    def all(self) -> list[str]:
        """The words as kept, in the order a person reads them; places from outside inwards."""
        words = set(self.words.values()) - self.retired
        return sorted(words, key=path_order if self.name == "place" else reading_order)


def lookups() -> dict[str, Lookup]:
    """Every list of words that a table of objects may use, by name; six queries."""
    found = {
        name: _vocabulary(name, vocabulary)
        for name, vocabulary in (
            ("object type", Vocabulary.OBJECT_TYPE),
            ("material", Vocabulary.MATERIAL),
            ("technique", Vocabulary.TECHNIQUE),
        )
    }
    classes = list(SensitivityClass.objects.order_by("pk"))
    lenders = list(Organisation.objects.order_by("pk"))
    places = list(Place.objects.order_by(F("closed_on").asc(nulls_last=True), "pk"))
    paths = dict(place_paths(places))
    ways = _ways_to_name(places)
    found["sensitivity class"] = _lookup(
        "sensitivity class", [(one.pk, one.label, (one.code,)) for one in classes]
    )
    found["lender"] = _lookup("lender", [(one.pk, one.name, ()) for one in lenders])
    found["place"] = _lookup(
        "place",
        [(one.pk, paths[one.uid], (one.code, *ways[one.pk])) for one in places],
        {paths[one.uid] for one in places if one.closed_on is not None},
    )
    found["hazard"] = Lookup("hazard", _labels(Hazard))
    found["evidence"] = Lookup("evidence", _labels(HazardEvidence))
    found["orientation"] = Lookup("orientation", _labels(Orientation))
    found["owner"] = Lookup("owner", _labels(OwnerKind))
    found["face kind"] = Lookup("face kind", _labels(FaceKind))
    return found


def _vocabulary(name: str, vocabulary: Vocabulary) -> Lookup:
    rows = Word.objects.filter(vocabulary=vocabulary).order_by(
        F("retired_on").asc(nulls_last=True), "-pk"
    )
    return _lookup(
        name,
        [(one.pk, one.label, (one.code,)) for one in rows],
        {one.label for one in rows if one.retired_on is not None},
    )


def _lookup(
    name: str, rows: Iterable[tuple[int, str, Sequence[str]]], retired: Iterable[str] = ()
) -> Lookup:
    """Other names first, so that a word as kept always wins over another's code."""
    rows = list(rows)
    words = {other.casefold(): label for _, label, others in rows for other in others}
    words |= {" ".join(label.split()).casefold(): label for _, label, _ in rows}
    return Lookup(name, words, {label: pk for pk, label, _ in rows}, frozenset(retired))


def _labels(words: Iterable[Any]) -> dict[str, str]:
    found = {word.value.casefold(): word.label for word in words}
    return found | {word.label.casefold(): word.label for word in words}


def _ways_to_name(places: Sequence[Place]) -> dict[int, list[str]]:
    """How a list may name a place, as long as no other place is meant: by its name alone or with
    what it lies in, from the inside out or from the outside in, 'Main Store > Bay 3 > Shelf 2'.
    """
    by_key = {place.pk: place for place in places}
    ways: dict[int, list[str]] = {}
    for place in places:
        steps: list[str] = []
        ways[place.pk] = []
        at: Place | None = place
        while at is not None and len(steps) < 9:
            steps.append(at.name)
            ways[place.pk].append(", ".join(steps))
            if len(steps) > 1:
                ways[place.pk].append(" > ".join(reversed(steps)))
            at = by_key.get(at.parent_id or 0)
    counted = Counter(way.casefold() for named in ways.values() for way in named)
    return {
        key: [way for way in named if counted[way.casefold()] == 1] for key, named in ways.items()
    }
