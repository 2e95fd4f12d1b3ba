"""Write many cards at once from their words: a few statements a table, one history entry a row."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from lifecycle.exchange.object_table.comparing import Planned
from lifecycle.process.words import FaceKind, Hazard, HazardEvidence, Orientation, OwnerKind, Word
from lifecycle.queries.object_cards import TEXTS, TRUTHS, Card, Lookup
from lifecycle.records.base import Kept
from lifecycle.records.keeping import keep_all
from lifecycle.records.models import (
    Component,
    Face,
    Measure,
    MuseumObject,
    ObjectHazard,
    OtherNumber,
    Person,
)

_COLUMNS = (
    *(column for key, column in TEXTS.items() if key != "object_number"),
    *TRUTHS.values(),
    *("object_type_id", "owner_kind", "lender_id", "weight_g", "orientation_rule"),
    *("sensitivity_class_id", "normal_location_id"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Hand:
    """Who writes, in which role, when and why: the same for every row of a table."""

    by: Person
    role: str
    at: datetime
    why: str

    def keep(self, rows: Sequence[Kept], **more: Any) -> None:
        """Keep rows of one table with this hand's name and reason."""
        keep_all(rows, by=self.by, role=self.role, at=self.at, why=self.why, **more)


def write_cards(
    planned: Sequence[Planned], *, hand: Hand, lists: Mapping[str, Lookup], day: date
) -> None:
    """Write new and changed cards with all that belongs to them. Their rows are locked already."""
    keys = [one.key for one in planned if one.key is not None]
    stored = {row.pk: row for row in MuseumObject.objects.filter(pk__in=keys)}
    pairs = [(one, stored[one.key] if one.key else MuseumObject()) for one in planned]
    _objects(pairs, hand, lists)
    objects = [(one, row) for one, row in pairs]
    _numbers(objects, hand)
    _sizes(objects, hand)
    _components(objects, hand)
    _hazards(objects, hand, day)
    _faces(objects, hand, lists)


_Pairs = Sequence[tuple[Planned, MuseumObject]]


def _key(lists: Mapping[str, Lookup], name: str, word: str) -> int | None:
    return lists[name].keys[word] if word else None


def _objects(pairs: _Pairs, hand: Hand, lists: Mapping[str, Lookup]) -> None:
    worded, plain = [], []
    changed: set[str] = set()
    for one, row in pairs:
        wanted = _values(one.after, lists)
        if one.key is None:
            row.object_number = one.number
            row.current_location_id = wanted["normal_location_id"]
        touched = [name for name in _COLUMNS if getattr(row, name) != wanted[name]]
        for name in touched:
            setattr(row, name, wanted[name])
        changed.update(touched if one.key else ())
        words = one.key is None or _words(one.before) != _words(one.after)
        if words:
            worded.append((one, row))
        elif touched:
            plain.append(row)
    fields = [name.removesuffix("_id") for name in sorted(changed)]
    hand.keep(
        [row for _, row in worded],
        fields=fields,
        words={
            "materials": [_keys(lists, "material", one.after.materials) for one, _ in worded],
            "techniques": [_keys(lists, "technique", one.after.techniques) for one, _ in worded],
        },
    )
    hand.keep(plain, fields=fields)


def _words(card: Card) -> tuple[tuple[str, ...], tuple[str, ...]]:
    return card.materials, card.techniques


def _keys(lists: Mapping[str, Lookup], name: str, words: Sequence[str]) -> list[int]:
    return [lists[name].keys[word] for word in words]


def _values(card: Card, lists: Mapping[str, Lookup]) -> dict[str, Any]:
    """A card's own columns as the records hold them."""
    words = card.values
    values: dict[str, Any] = {column: words[key] for key, column in TEXTS.items()}
    values |= {column: words[key] == "yes" for key, column in TRUTHS.items()}
    return values | {
        "object_type_id": _key(lists, "object type", words["object_type"]),
        "owner_kind": _coded(OwnerKind, words["owner"]),
        "lender_id": _key(lists, "lender", words["lender"]),
        "weight_g": int(words["weight"]) if words["weight"] else None,
        "orientation_rule": _coded(Orientation, words["orientation"]),
        "sensitivity_class_id": _key(lists, "sensitivity class", words["class"]),
        "normal_location_id": _key(lists, "place", words["place"]),
    }


def _coded(words: type[Word], label: str) -> str:
    return next(word.value for word in words if word.label == label)


def _numbers(pairs: _Pairs, hand: Hand) -> None:
    hand.keep(
        [
            OtherNumber(museum_object=row, kind=kind, number=number)
            for one, row in pairs
            for kind, number in one.after.numbers[len(one.before.numbers) :]
        ]
    )


def _sizes(pairs: _Pairs, hand: Hand) -> None:
    wanted = {
        (row.pk, state): sides
        for one, row in pairs
        for state, sides in one.after.sizes.items()
        if one.before.sizes.get(state) != sides
    }
    there = {(row.museum_object_id, row.state): row for row in _rows(Measure, wanted)}
    rows = []
    for (key, state), (height, width, depth) in wanted.items():
        row = there.get((key, state)) or Measure(museum_object_id=key, state=state)
        row.height_mm, row.width_mm = Decimal(height), Decimal(width)
        row.depth_mm = Decimal(depth) if depth else None
        rows.append(row)
    hand.keep(rows, fields=["height_mm", "width_mm", "depth_mm"])


def _rows(model: Any, wanted: Mapping[tuple[int, str], Any], **more: Any) -> Any:
    """The rows there are of these objects."""
    return model.objects.filter(museum_object__in={key for key, _ in wanted}, **more)


def _components(pairs: _Pairs, hand: Hand) -> None:
    wanted = {
        (row.pk, label): description
        for one, row in pairs
        for label, description in one.after.components.items()
        if one.before.components.get(label) != description
    }
    there = {(row.museum_object_id, row.label): row for row in _rows(Component, wanted)}
    rows = []
    for (key, label), description in wanted.items():
        row = there.get((key, label)) or Component(museum_object_id=key, label=label)
        row.description = description
        rows.append(row)
    hand.keep(rows, fields=["description"])


def _hazards(pairs: _Pairs, hand: Hand, day: date) -> None:
    wanted = {
        (row.pk, word): about
        for one, row in pairs
        for word, about in one.after.hazards.items()
        if one.before.hazards.get(word) != about
    }
    ended = {
        (row.pk, word)
        for one, row in pairs
        for word in one.before.hazards
        if word not in one.after.hazards
    }
    there = {
        (row.museum_object_id, Hazard(row.hazard).label): row
        for row in _rows(ObjectHazard, {**wanted, **dict.fromkeys(ended)}, ended_on=None)
    }
    rows = []
    for (key, word), about in wanted.items():
        row = there.get((key, word)) or ObjectHazard(
            museum_object_id=key, hazard=_coded(Hazard, word)
        )
        row.evidence = _coded(HazardEvidence, about.evidence)
        row.protection = about.protection
        rows.append(row)
    for mark in ended:
        there[mark].ended_on = day
        rows.append(there[mark])
    hand.keep(rows, fields=["evidence", "protection", "ended_on"])


def _faces(pairs: _Pairs, hand: Hand, lists: Mapping[str, Lookup]) -> None:
    wanted = {
        (row.pk, label): face
        for one, row in pairs
        for label, face in one.after.faces.items()
        if one.before.faces.get(label) != face
    }
    stored = list(_rows(Face, wanted))
    there = {(row.museum_object_id, row.label): row for row in stored}
    last: dict[int, int] = {}
    for row in stored:
        last[row.museum_object_id] = max(last.get(row.museum_object_id, 0), row.order)
    rows = []
    for (key, label), face in wanted.items():
        row = there.get((key, label))
        if row is None:
            last[key] = last.get(key, 0) + 1
            row = Face(museum_object_id=key, label=label, order=last[key])
        row.kind = _coded(FaceKind, face["kind"])
        row.landmark = face["landmark"]
        row.max_opening_angle = int(face["angle"]) if face["angle"] else None
        row.sensitivity_class_id = _key(lists, "sensitivity class", face["class"])
        row.never_show, row.never_show_reason = face["never"] == "yes", face["never_why"]
        rows.append(row)
    hand.keep(
        rows,
        fields=[
            *("kind", "landmark", "max_opening_angle", "sensitivity_class"),
            *("never_show", "never_show_reason"),
        ],
    )
