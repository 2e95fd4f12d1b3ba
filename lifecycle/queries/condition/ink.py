"""Iron-gall ink as it stands: the worst inked area of each face in its last signed rating."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from django.utils.text import capfirst

from lifecycle.process.facts.objects import InkFacts
from lifecycle.process.facts.showing import Rules
from lifecycle.process.ink import InkLevel
from lifecycle.queries.condition.known import standing
from lifecycle.queries.days_off import rules_in_force
from lifecycle.records.models.condition import InkRating, InkSignOff
from lifecycle.records.models.objects import Face, MuseumObject


@dataclass(frozen=True, slots=True, kw_only=True)
class RatedFace:
    """A face, the areas its last signed report rates, and the word before a move, if any holds."""

    face: Face
    areas: tuple[InkRating, ...]
    sign_off: InkSignOff | None = None

    @property
    def worst(self) -> InkRating:
        return max(self.areas, key=lambda area: (area.level, -area.number))

    @property
    def level(self) -> InkLevel:
        return InkLevel(self.worst.level)

    @property
    def sentence(self) -> str:
        """The rating with what it asks of handling, for screens and papers that travel."""
        return (
            f"Iron-gall ink, {self.face.label}: rated {self.level.label} "
            f"({self.worst.area}, {self.worst.report}). {capfirst(self.level.handling)}"
        )


def rated_faces(object_ids: Iterable[int], today: date) -> Mapping[int, tuple[RatedFace, ...]]:
    """Return, by object, its rated faces; two queries, however many objects.

    The last signed report that rates a face counts; one that a signed correction replaced does not.
    """
    ids = sorted(set(object_ids))
    rows = (
        InkRating.objects.filter(
            standing("report"), report__museum_object__in=ids, taken_back=False
        )
        .exclude(report__digest="")
        .select_related("report", "face")
        .order_by("face__order", "face", "-report__examined_at", "-report__signed_at", "number")
    )
    latest: dict[int, list[InkRating]] = defaultdict(list)
    for row in rows:
        found = latest[row.face_id]
        if not found or found[0].report_id == row.report_id:
            found.append(row)
    offs: dict[tuple[int, int], InkSignOff] = {}
    for off in (
        InkSignOff.objects.filter(face__in=list(latest), until__gte=today)
        .select_related("by")
        .order_by("pk")
    ):
        offs[off.face_id, off.report_id] = off
    by_object: dict[int, list[RatedFace]] = defaultdict(list)
    for areas in latest.values():
        first = areas[0]
        by_object[first.report.museum_object_id].append(
            RatedFace(
                face=first.face,
                areas=tuple(areas),
                sign_off=offs.get((first.face_id, first.report_id)),
            )
        )
    return {pk: tuple(faces) for pk, faces in by_object.items()}


def ink_facts(object_ids: Iterable[int], today: date) -> dict[int, tuple[InkFacts, ...]]:
    """Return the ratings as the gates see them, by object."""
    return {
        pk: tuple(
            InkFacts(
                face_id=rated.face.pk,
                face=rated.face.label,
                level=rated.level,
                area=rated.worst.area,
                report=str(rated.worst.report),
                signed_off=rated.sign_off.by.full_name if rated.sign_off else "",
            )
            for rated in faces
        )
        for pk, faces in rated_faces(object_ids, today).items()
    }


def sign_off_from(today: date) -> int | None:
    """Return the level from which the house has a move signed off, None for no such rule."""
    rules = rules_in_force(today)
    return Rules().ink_sign_off_from if rules is None else rules.ink_sign_off_from


def ink_sentences(objects: Iterable[MuseumObject]) -> tuple[str, ...]:
    """Return what the papers say of ink that asks for more than ordinary care; two queries."""
    numbers = {thing.pk: thing.object_number for thing in objects}
    found = rated_faces(numbers, date.min)
    return tuple(
        f"{numbers[pk]}: {rated.sentence}" if len(numbers) > 1 else rated.sentence
        for pk, faces in sorted(found.items())
        for rated in faces
        if rated.level > InkLevel.GOOD
    )


def rated_face(face: Face, today: date) -> RatedFace | None:
    """Return the rating of one face, if a signed report has one; two queries."""
    faces = rated_faces([face.museum_object_id], today).get(face.museum_object_id, ())
    return next((one for one in faces if one.face.pk == face.pk), None)


def ink_of(museum_object: MuseumObject, today: date) -> tuple[RatedFace, ...]:
    """Return the rated faces of one object; two queries."""
    return rated_faces([museum_object.pk], today).get(museum_object.pk, ())
