"""Places that a table names and the tree lacks: their steps from the outside in, with kinds.

Only for names written as a path that begins at a place there is, ‘Main Store > Bay 3 > Shelf 2’,
where the kind of what is missing follows: below a store bays, below a bay shelves.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from lifecycle.process.words import PlaceKind
from lifecycle.records.models import Place

_INSIDE: Final = {
    PlaceKind.STORE: PlaceKind.BAY,
    PlaceKind.BAY: PlaceKind.SHELF,
    PlaceKind.SITE: PlaceKind.BUILDING,
    PlaceKind.BUILDING: PlaceKind.ROOM,
    PlaceKind.ROOM: PlaceKind.CASE,
    PlaceKind.CASE: PlaceKind.POSITION,
}


@dataclass(frozen=True, slots=True)
class Missing:
    """One place to be added: every step from the top with its kind, and how the table names it."""

    word: str
    steps: tuple[tuple[str, str], ...]


def places_to_add(words: Iterable[str]) -> list[Missing]:
    """Return those of the unknown place names that can be added below places there are."""
    places = {place.pk: place for place in Place.objects.filter(closed_on=None)}
    tree: dict[tuple[str, ...], list[list[tuple[str, str]]]] = {}
    for place in places.values():
        steps: list[tuple[str, str]] = []
        at: Place | None = place
        while at is not None and len(steps) < 9:
            steps.insert(0, (at.name, at.kind))
            at = places.get(at.parent_id or 0)
        for start in range(len(steps)):
            tree.setdefault(tuple(name.casefold() for name, _ in steps[start:]), []).append(steps)
    found = []
    for word in words:
        names = _steps(word)
        for known in range(len(names) - 1, 0, -1):
            there = tree.get(tuple(name.casefold() for name in names[:known]), [])
            if not there:
                continue
            if len(there) > 1:  # a bay 3 in two stores: which one is not ours to say
                break
            steps = list(there[0])
            for name in names[known:]:
                kind = _INSIDE.get(PlaceKind(steps[-1][1]))
                if kind is None or len(name) > 120:
                    break
                steps.append((name, kind.value))
            else:
                found.append(Missing(word, tuple(steps)))
            break
    return found


def _steps(word: str) -> list[str]:
    """Names from the outside in, whichever way the path is written."""
    if ">" in word:
        return [name.strip() for name in word.split(">") if name.strip()]
    return [name.strip() for name in reversed(word.split(",")) if name.strip()]
