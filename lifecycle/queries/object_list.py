"""The objects of an exhibition in the order of the hang, for the paper and the table alike."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from lifecycle.planning.counting import counted
from lifecycle.process.stages import Stage
from lifecycle.records.models import Assessment, Exhibition, FaceWanted, Place, Showing

LEFT_OUT = (Stage.DECLINED, Stage.WITHDRAWN)
#: How a place is read from the largest down, so that one query brings its path.
PATH = "place__parent__parent__parent__parent"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hung:
    """One object of the hang: its showing with everything beside it already read."""

    order: int
    showing: Showing
    faces: tuple[FaceWanted, ...]
    conditions: Assessment | None
    path: tuple[str, ...]

    @property
    def place(self) -> str:
        """Where it hangs, the room left out where a smaller place is named."""
        return ", ".join(self.path[-2:])

    @property
    def sizes(self) -> tuple[tuple[str, str], ...]:
        """Each measured state with height × width × depth [mm]."""
        return tuple(
            (row.state, f"{_figures(row.height_mm, row.width_mm, row.depth_mm)} mm")
            for row in self.showing.museum_object.measures.all()
        )

    @property
    def condition_words(self) -> str:
        """What the signed assessment allows; until there is one, that there is none."""
        said = self.conditions
        if said is None:
            return "not assessed yet"
        parts = [f"at most {said.lux_ceiling} lx, {said.uv_ceiling} µW/lm UV"]
        parts.append(f"{counted(said.max_weeks, 'week')} a face")
        if said.rh_min is not None and said.rh_max is not None:
            parts.append(f"{_plain(said.rh_min)}–{_plain(said.rh_max)} % RH")
        if said.max_opening_angle:
            parts.append(f"open at most {said.max_opening_angle}°")
        if said.must_be_cased:
            parts.append("in a case")
        return ", ".join(parts)

    @property
    def days(self) -> tuple[date, date]:
        return self.showing.show_from, self.showing.show_to


def _plain(value: Decimal) -> str:
    return f"{value:f}".rstrip("0").rstrip(".") if "." in f"{value:f}" else f"{value:f}"


def _figures(*values: Decimal | None) -> str:
    return " × ".join(_plain(value) for value in values if value is not None)


def natural(text: str) -> tuple[tuple[int, int, str], ...]:
    """A key that puts N2 before N10.

    >>> sorted(["N10", "N2", "N1a"], key=natural)
    ['N1a', 'N2', 'N10']
    """
    parts = re.findall(r"\d+|\D+", text.casefold())
    return tuple((0, int(part), "") if part.isdecimal() else (1, 0, part) for part in parts)


def hang_of(exhibition: Exhibition) -> list[Hung]:
    """Return the objects of an exhibition by place, then by their numbers; five queries.

    What was declined or withdrawn is left out; what has no place yet comes last.
    """
    rows = list(
        Showing.objects.filter(exhibition=exhibition, journal__isnull=False)
        .exclude(stage__in=LEFT_OUT)
        .select_related(
            "exhibition",
            "museum_object__object_type",
            "museum_object__lender",
            PATH,
        )
        .prefetch_related("museum_object__measures", "museum_object__hazards")
        .distinct()
        .order_by("pk")
    )
    faces: dict[int, list[FaceWanted]] = {row.pk: [] for row in rows}
    wanted = FaceWanted.objects.filter(showing__in=rows, struck=False)
    for face in wanted.select_related("face__thumbnail").order_by("order", "pk"):
        faces[face.showing_id].append(face)
    signed = Assessment.objects.filter(showing__in=rows).exclude(digest="").defer("signed_text")
    conditions = {row.showing_id: row for row in signed.order_by("version")}
    found = [(row, _path(row.place)) for row in rows]
    found.sort(key=lambda one: _key(*one))
    return [
        Hung(
            order=order,
            showing=row,
            faces=tuple(faces[row.pk]),
            conditions=conditions.get(row.pk),
            path=path,
        )
        for order, (row, path) in enumerate(found, start=1)
    ]


def _key(row: Showing, path: Sequence[str]) -> tuple[object, ...]:
    return (
        not path,
        tuple(natural(name) for name in path),
        natural(row.exhibition_number),
        natural(row.museum_object.object_number),
    )


def _path(place: Place | None) -> tuple[str, ...]:
    """The names down to a position, the largest first."""
    names: list[str] = []
    seen: set[int] = set()
    while place is not None and place.pk not in seen:
        seen.add(place.pk)
        names.append(place.name)
        place = place.parent
    return tuple(reversed(names))
