"""What is on record of an object that a caution at the bench speaks of, and which record shows it.

Codes are those of the starting words; a museum that names a material otherwise ticks 'may not meet
moisture' on the object, or records what it found.
"""

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from types import MappingProxyType
from typing import Final

from lifecycle.process.bench_cautions import Trait
from lifecycle.process.ink import InkLevel, SpotTest
from lifecycle.process.words import Activity, FeatureState, Layer, Orientation
from lifecycle.queries.condition.ink import rated_faces
from lifecycle.queries.condition.known import standing
from lifecycle.records.models.condition import InkTest, Observation
from lifecycle.records.models.objects import MuseumObject
from lifecycle.records.models.treatment import MOVED, MediumTest, SpotLiquid

_BY_WORD: Final[Mapping[Trait, frozenset[str]]] = MappingProxyType(
    {
        Trait.IRON_GALL_INK: frozenset({"iron-gall-ink", "copying-ink"}),
        Trait.COPYING_INK: frozenset({"copying-ink"}),
        Trait.SOLUBLE_MEDIUM: frozenset(
            {"watercolour-paint", "gouache", "pink-lake", "hand-colouring", "dye", "copying-ink"}
        ),
        Trait.LOOSE_MEDIUM: frozenset({"pastel-stick", "charcoal", "chalk"}),
        Trait.RELIEF: frozenset({"embossed", "wax-seal", "thick-paint", "gilding"}),
        Trait.CYANOTYPE: frozenset({"iron-blue", "cyanotype"}),
        Trait.COLOUR_PHOTOGRAPH: frozenset({"chromogenic-colour", "dye-transfer"}),
        Trait.PROTEIN_TEXTILE: frozenset({"silk", "wool"}),
        Trait.PARCHMENT: frozenset({"parchment"}),
        Trait.WRITING: frozenset({"iron-gall-ink", "carbon-ink", "copying-ink", "pen-and-ink"}),
    }
)
_BY_FEATURE: Final[Mapping[Trait, frozenset[str]]] = MappingProxyType(
    {
        Trait.FLAKING_MEDIUM: frozenset({"flaking", "binder-lift"}),
        Trait.LOOSE_MEDIUM: frozenset({"powdering", "smudging"}),
        Trait.INK_CRACKED: frozenset({"ink-cracking", "ink-loss"}),
        Trait.RAN_IN_WATER: frozenset({"dye-bleed"}),
    }
)
_BLIND: Final = frozenset({FeatureState.NOT_LOOKED_AT, FeatureState.COULD_NOT_BE_SEEN})
_OVER: Final = frozenset({FeatureState.GONE, FeatureState.TREATED})


#: An object's row id, a trait, and the record that shows it.
Found = Iterator[tuple[int, Trait, str]]


def traits_of(museum_object: MuseumObject) -> dict[Trait, str]:
    """Return each trait with what on record shows it; seven queries, whatever is on record."""
    return traits_of_many([museum_object])[museum_object.pk]


def traits_of_many(things: Iterable[MuseumObject]) -> dict[int, dict[Trait, str]]:
    """Return the traits of several objects, by row id; the same queries as for one.

    Give them with their ``object_type``.
    """
    rows = list(things)
    ids = [thing.pk for thing in rows]
    found: dict[int, dict[Trait, list[str]]] = {pk: {} for pk in ids}
    for lines in (
        _of_rows(rows),
        _of_words(ids),
        _of_ink(ids),
        _of_features(ids),
        _of_tests(ids),
    ):
        for pk, trait, words in lines:
            found[pk].setdefault(trait, []).append(words)
    return {
        pk: {trait: ", ".join(dict.fromkeys(words)) for trait, words in traits.items()}
        for pk, traits in found.items()
    }


def _of_rows(things: Iterable[MuseumObject]) -> Found:
    for thing in things:
        if thing.moisture_caution:
            yield thing.pk, Trait.SOLUBLE_MEDIUM, "its record: may not meet moisture unasked"
        if thing.orientation_rule == Orientation.UPRIGHT_ONLY:
            yield thing.pk, Trait.UPRIGHT_ONLY, "its record: upright only"
        if thing.marks:
            yield thing.pk, Trait.WRITING, f"marks and inscriptions: {thing.marks}"
        if thing.object_type.code == "bound-manuscript":
            yield thing.pk, Trait.WRITING, thing.object_type.label


def _of_words(ids: list[int]) -> Found:
    things = MuseumObject.objects.filter(pk__in=ids)
    words = [
        *things.order_by("pk", "materials__pk").values_list(
            "pk", "materials__code", "materials__label"
        ),
        *things.order_by("pk", "techniques__pk").values_list(
            "pk", "techniques__code", "techniques__label"
        ),
    ]
    for trait, codes in _BY_WORD.items():
        for pk, code, label in words:
            if code in codes:
                yield pk, trait, f"{label} on its record"


def _of_ink(ids: list[int]) -> Found:
    for pk, faces in rated_faces(ids, date.min).items():
        for rated in faces:
            where = f"{rated.face.label}, {rated.worst.area}: {rated.level.label}"
            yield pk, Trait.IRON_GALL_INK, f"ink rated on {where}"
            yield pk, Trait.WRITING, f"ink on {rated.face.label}"
            if rated.level >= InkLevel.POOR:
                yield pk, Trait.INK_CRACKED, f"ink rated on {where}"
    tests = InkTest.objects.filter(
        standing("report"),
        report__museum_object__in=ids,
        taken_back=False,
        test=SpotTest.FREE_IRON,
        colour__gt=0,
    ).exclude(report__digest="")
    for test in tests.select_related("report", "face").order_by("pk"):
        pk = test.report.museum_object_id
        yield pk, Trait.FREE_IRON, f"spot test on {test.face.label}, {test.spot} ({test.report})"
        yield pk, Trait.IRON_GALL_INK, f"free iron on {test.face.label}"


def _of_features(ids: list[int]) -> Found:
    """Features as their last signed look found them; what is gone or treated no longer speaks."""
    latest: dict[tuple[int, int], Observation] = {}
    rows = (
        Observation.objects.filter(
            standing("report"), feature__museum_object__in=ids, taken_back=False
        )
        .exclude(report__digest="")
        .exclude(state__in=_BLIND)
        .select_related("feature", "term")
        .order_by("report__examined_at", "pk")
    )
    for row in rows:
        latest[row.feature.museum_object_id, row.feature.number] = row
    for (pk, number), row in sorted(latest.items()):
        if row.state in _OVER:
            continue
        term = row.term
        for trait, codes in _BY_FEATURE.items():
            if term.code in codes:
                yield pk, trait, f"F{number} {term.label}"
        if row.layer == Layer.MEDIUM and row.activity == Activity.ACTIVE:
            yield pk, Trait.FLAKING_MEDIUM, f"F{number} {term.label}, active"


def _of_tests(ids: list[int]) -> Found:
    """Spot tests logged at the bench in which a medium moved; a later test does not undo one.

    A line that was written wrongly does not count; the one that stands for it does.
    """
    rows = MediumTest.objects.filter(
        step__museum_object__in=ids, step__corrected_by=None, outcome__in=MOVED
    )
    for row in rows.select_related("step__face").order_by("step__observed_at", "pk"):
        pk = row.step.museum_object_id
        where = row.step.face.label if row.step.face else "the object"
        what = f"{row.medium} on {where}: {row.get_outcome_display()} in "
        if row.liquid != SpotLiquid.SOLVENT:
            yield pk, Trait.RAN_IN_WATER, what + row.get_liquid_display()
        if row.liquid != SpotLiquid.WATER:
            yield pk, Trait.RAN_IN_SOLVENT, what + row.get_liquid_display()
