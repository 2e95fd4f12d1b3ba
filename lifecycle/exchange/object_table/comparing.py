"""What a table would change: each object beside what is on record, cell by cell.

An empty cell leaves what is on record, so no line can wipe out a hazard, a size or a number; lists
(other numbers, components, hazards, faces) grow and are corrected, and are never shortened.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from lifecycle.exchange.object_table.columns import BY_KEY, joined, with_head
from lifecycle.exchange.object_table.line import LISTS
from lifecycle.exchange.object_table.lines import BadLine, Wanted
from lifecycle.process.words import (
    FaceKind,
    Hazard,
    HazardEvidence,
    Orientation,
    OwnerKind,
)
from lifecycle.queries.object_cards import (
    Card,
    HazardWords,
    Lookup,
    bare_number,
    cards_of,
    other_community,
)
from lifecycle.records.models import MeasuredState, MuseumObject

#: What stands where nobody has yet looked; said on the preview, so that somebody will.
NOT_DESCRIBED: Final = "not described yet"
OTHER_COMMUNITY: Final = (
    "Another source community is on the card, and is asked before treatment: only a registrar or "
    "the head of collections names another."
)
_STANDS_ALONE: Final = frozenset({Hazard.NONE_KNOWN.label, Hazard.NOT_ASSESSED.label})
_MUSEUM, _LENDER = OwnerKind.MUSEUM.label, OwnerKind.LENDER.label


@dataclass(frozen=True, slots=True)
class Change:
    """One cell that changes: its heading, what is on record, what will be."""

    heading: str
    old: str
    new: str


@dataclass(slots=True)
class Planned:
    """One object of the table: its record's key if it has one, and the card before and after."""

    wanted: Wanted
    key: int | None
    before: Card
    after: Card
    changes: list[Change] = field(default_factory=list)

    @property
    def number(self) -> str:
        return self.after.values["object_number"]


@dataclass(slots=True)
class Plan:
    """What would happen to the objects of a table."""

    new: list[Planned] = field(default_factory=list)
    changed: list[Planned] = field(default_factory=list)
    unchanged: list[Planned] = field(default_factory=list)
    bad: list[BadLine] = field(default_factory=list)


class _Doubt(Exception):
    def __init__(self, *reasons: str) -> None:
        self.reasons = reasons


class Numbers:
    """Objects on record by their number without blanks and capitals: one query."""

    def __init__(self) -> None:
        self._keys: dict[str, dict[str, int]] = defaultdict(dict)
        for number, key in MuseumObject.objects.values_list("object_number", "pk"):
            self._keys[bare_number(number)][number] = key

    def find(self, number: str) -> int | None:
        """The one object a number can mean; raises when it could be two."""
        there = self._keys.get(bare_number(number), {})
        if number in there:
            return there[number]
        if len(there) > 1:
            named = " and ".join(f"“{one}”" for one in sorted(there))
            raise _Doubt(
                f"{named} are both on record and differ in capitals or blanks alone: "
                "write the number as on the one that is meant."
            )
        return next(iter(there.values()), None)

    def key(self, number: str) -> int | None:
        """The same, and nothing where it could be two."""
        try:
            return self.find(number)
        except _Doubt:
            return None


def plan_of(
    objects: Iterable[Wanted],
    numbers: Numbers,
    lists: Mapping[str, Lookup],
    keeps_communities: bool,
) -> Plan:
    """Set objects of a table beside the records; about ten queries for each 500 of them.

    :param keeps_communities: whether who brings the table may name another source community
    """
    plan = Plan()
    found: list[tuple[Wanted, int | None]] = []
    for wanted in objects:
        try:
            found.append((wanted, numbers.find(wanted.number)))
        except _Doubt as doubt:
            plan.bad += _bad(wanted, doubt.reasons)
    keys = [key for _, key in found if key is not None]
    rows = []
    for start in range(0, len(keys), 500):
        rows += list(MuseumObject.objects.filter(pk__in=keys[start : start + 500]).order_by("pk"))
    cards = {row.pk: card for row, card in zip(rows, cards_of(rows), strict=True)}
    for wanted, key in found:
        before = cards[key] if key is not None else Card()
        try:
            after = merged(before if key is not None else None, wanted.card, wanted.number)
            _refuse_retired(before, after, lists)
            _refuse_other_community(before, after, keeps_communities)
        except _Doubt as doubt:
            plan.bad += _bad(wanted, doubt.reasons)
            continue
        planned = Planned(wanted, key, before, after, changes_between(before, after))
        if key is None:
            plan.new.append(planned)
        elif planned.changes:
            plan.changed.append(planned)
        else:
            plan.unchanged.append(planned)
    return plan


def _refuse_retired(before: Card, after: Card, lists: Mapping[str, Lookup]) -> None:
    """A retired word or a closed place stays on the cards that have it and is given to no other."""
    given = [
        (name, word)
        for key, name in LISTS.items()
        for word in set(_of(after, key)) - set(_of(before, key))
        if word in lists[name].retired
    ]
    if given:
        raise _Doubt(*(f"“{word}” is a {name} no longer in use." for name, word in given))


def _refuse_other_community(before: Card, after: Card, keeps_communities: bool) -> None:
    """An empty cell leaves the community there is, so only another one can be meant."""
    there = before.values.get("community", "")
    if not keeps_communities and other_community(there, after.values["community"]):
        raise _Doubt(OTHER_COMMUNITY)


def _of(card: Card, key: str) -> Sequence[str]:
    if key in ("materials", "techniques"):
        return card.materials if key == "materials" else card.techniques
    return [card.values[key]] if card.values.get(key) else []


def _bad(wanted: Wanted, reasons: Sequence[str]) -> list[BadLine]:
    return [BadLine(number, wanted.raw, tuple(reasons)) for number in wanted.lines]


def merged(before: Card | None, wanted: Card, number: str) -> Card:
    """The card as it will be: what the table states over what is on record."""
    after = before.copy() if before is not None else _blank(number)
    doubts: list[str] = []
    values = after.values
    values.update(wanted.values)
    _owner(wanted, after, doubts)
    if not values["title"]:
        doubts.append("A new object needs a title.")
    if not values["object_type"]:
        doubts.append("A new object needs an object type.")
    if values["class"] and not values["class_basis"]:
        doubts.append(
            "Say what the sensitivity class rests on: a material list, a test, a published "
            "category, or a cautious guess."
        )
    after.materials = wanted.materials or after.materials
    after.techniques = wanted.techniques or after.techniques
    _numbers(wanted, after)
    _sizes(wanted, after, doubts)
    for label, description in wanted.components.items():
        there = _same(label, after.components)
        after.components[there] = description or after.components.get(there, "")
    _hazards(wanted, after, doubts)
    _faces(wanted, after, doubts)
    if doubts:
        raise _Doubt(*doubts)
    return after


def _blank(number: str) -> Card:
    values = dict.fromkeys(
        ("title", "maker", "date", "marks", "cautions", "class_basis", "restricted", "community"),
        "",
    )
    values |= dict.fromkeys(("object_type", "lender", "weight", "class", "place"), "")
    values |= {"object_number": number, "owner": "", "light_passes": "no", "moisture": "no"}
    values["orientation"] = Orientation.ANY.label
    return Card(values=values)


def _owner(wanted: Card, after: Card, doubts: list[str]) -> None:
    """Owner and lender go together; whichever the table states decides."""
    said, lender = wanted.values.get("owner"), wanted.values.get("lender")
    if said == _MUSEUM and lender:
        doubts.append("An object of the museum has no lender: empty one of the two cells.")
    elif said == _MUSEUM:
        after.values["lender"] = ""
    elif lender:
        after.values["owner"] = _LENDER
    elif not after.values["owner"]:
        after.values["owner"] = _MUSEUM
    if after.values["owner"] == _LENDER and not after.values["lender"]:
        doubts.append("Name the lender this object belongs to.")


def _same(label: str, there: Iterable[str]) -> str:
    """The label as it is on record, when it differs in capitals alone."""
    return next((one for one in there if one.casefold() == label.casefold()), label)


def _numbers(wanted: Card, after: Card) -> None:
    there = {(kind.casefold(), number.casefold()) for kind, number in after.numbers}
    more = [
        pair for pair in wanted.numbers if (pair[0].casefold(), pair[1].casefold()) not in there
    ]
    after.numbers = (*after.numbers, *dict.fromkeys(more))


def _sizes(wanted: Card, after: Card, doubts: list[str]) -> None:
    for state, sides in wanted.sizes.items():
        there = after.sizes.get(state, ("", "", ""))
        height, width, depth = (new or old for new, old in zip(sides, there, strict=True))
        if not height or not width:
            doubts.append(f"The size {MeasuredState(state).label} needs a height and a width.")
        after.sizes[state] = (height, width, depth)


def _hazards(wanted: Card, after: Card, doubts: list[str]) -> None:
    if not wanted.hazards:
        return
    said = set(wanted.hazards)
    alone, real = said & _STANDS_ALONE, said - _STANDS_ALONE
    on_record = set(after.hazards) - _STANDS_ALONE
    if len(alone) > 1 or (alone and real):
        doubts.append(f"“{sorted(alone)[0]}” can't stand beside another word in hazards.")
    elif alone and on_record:
        doubts.append(
            f"{', '.join(sorted(on_record))} is on record: “{sorted(alone)[0]}” can't be taken "
            "from a table. End the hazard on the object's card, with a reason."
        )
    for one in set(after.hazards) & _STANDS_ALONE:
        if one not in said:
            del after.hazards[one]
    for one, new in wanted.hazards.items():
        old = after.hazards.get(one)
        evidence = new.evidence or (old.evidence if old else HazardEvidence.SUSPECTED.label)
        after.hazards[one] = HazardWords(
            evidence, new.protection or (old.protection if old else "")
        )


def _faces(wanted: Card, after: Card, doubts: list[str]) -> None:
    for label, said in wanted.faces.items():
        there = _same(label, after.faces)
        face = after.faces.get(there) or {
            "kind": FaceKind.SIDE.label,
            "landmark": NOT_DESCRIBED,
            "angle": "",
            "class": "",
            "never": "no",
            "never_why": "",
        }
        after.faces[there] = face | said
        if after.faces[there]["never"] == "yes" and not after.faces[there]["never_why"]:
            doubts.append(f"Say why the face “{there}” is never shown.")


def changes_between(before: Card, after: Card) -> list[Change]:
    """Every cell in which two cards differ, in the order of the columns."""
    old, new = flat(before), flat(after)
    return [
        Change(heading, old.get(heading, ""), new.get(heading, ""))
        for heading in dict.fromkeys([*new, *old])
        if old.get(heading, "") != new.get(heading, "")
    ]


def flat(card: Card) -> dict[str, str]:
    """A card as headings and cells, faces under their own names."""
    cells = {BY_KEY[key].heading: text for key, text in object_cells(card).items()}
    for label, face in card.faces.items():
        for key, text in face_cells(label, face).items():
            cells[f"{label}: {BY_KEY[key].heading}"] = text
    return cells


def object_cells(card: Card) -> dict[str, str]:
    """The cells of an object's own columns, by key."""
    cells = dict(card.values)
    cells["materials"] = joined(card.materials)
    cells["techniques"] = joined(card.techniques)
    cells["numbers"] = joined(with_head(kind, number) for kind, number in card.numbers)
    cells["components"] = joined(with_head(*pair) for pair in card.components.items())
    cells["hazards"] = joined(
        with_head(word if word in _STANDS_ALONE else f"{word} ({about.evidence})", about.protection)
        for word, about in card.hazards.items()
    )
    for state, sides in card.sizes.items():
        for side, text in zip(("height", "width", "depth"), sides, strict=True):
            cells[f"size:{state}:{side}"] = text
    return cells


def face_cells(label: str, face: dict[str, str]) -> dict[str, str]:
    """The cells of one face's columns, by key."""
    return {
        "face": label,
        "face_kind": face["kind"],
        "landmark": face["landmark"],
        "angle": face["angle"],
        "face_class": face["class"],
        "never": face["never"],
        "never_why": face["never_why"],
    }


def table_rows(card: Card) -> list[dict[str, str]]:
    """The lines of one object in a table: one a face; the object's own columns in the first."""
    own = object_cells(card)
    faces = [face_cells(label, face) for label, face in card.faces.items()]
    number = {"object_number": own["object_number"]}
    return [own | (faces[0] if faces else {}), *(number | face for face in faces[1:])]
