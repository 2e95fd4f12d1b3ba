"""Cautions at the bench: what the object and the material ask for, each with its source.

The tool warns and records; the conservator decides, and the safety data sheet, local rules and
licensed practice stand above every sentence here.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from lifecycle.process.words import Activity, FeatureState, Hazard, HazardEvidence, Layer
from lifecycle.records.models.condition import Observation
from lifecycle.records.models.objects import MuseumObject, ObjectHazard
from lifecycle.records.models.treatment import BRINGS_MOISTURE, Material, MaterialKind
from lifecycle.records.models.words import Word

WET_STEPS: Final = frozenset(
    {
        "humidify",
        "flatten",
        "wash",
        "float-wash",
        "blotter-wash",
        "suction-wash",
        "bathe",
        "deacidify",
        "bleach",
        "remove-adhesive",
        "reduce-adhesive",
        "remove-lining",
        "remove-tape",
    }
)
"""Codes of treatment steps that bring water or solvent to the object (common practice)."""

MOISTURE: Final = frozenset(
    {"iron-gall-ink", "copying-ink", "watercolour-paint", "gouache", "pink-lake", "hand-colouring"}
)
FRIABLE: Final = frozenset({"pastel-stick", "charcoal", "chalk"})
"""Codes of materials and techniques that ask for a caution by themselves."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchCaution:
    about: str
    text: str
    source: str


def media_cautions(museum_object: MuseumObject) -> list[BenchCaution]:
    """Return the ink, moisture and media cautions of an object; three queries."""
    number = museum_object.object_number
    codes = set(museum_object.materials.values_list("code", flat=True))
    codes |= set(museum_object.techniques.values_list("code", flat=True))
    found = []
    if museum_object.moisture_caution or codes & MOISTURE:
        found.append(
            BenchCaution(
                about="moisture",
                text=(
                    f"{number}: ink or media that may not meet moisture or solvent unasked. Inked "
                    "areas take up water differently from bare paper and can crack or lose pieces; "
                    "an ink that ran once may run again; water can carry iron and acid into clean "
                    "paper. Test, keep water local, prefer a low-moisture tissue beside ink."
                ),
                source=(
                    "Published advice on iron-gall ink, and common practice among paper "
                    "conservators; judge it against your own tests."
                ),
            )
        )
    if codes & FRIABLE:
        found.append(
            BenchCaution(
                about="media",
                text=(
                    f"{number}: loose medium. No pressure, no static film, no turning face down "
                    "before you have judged whether the medium allows it."
                ),
                source="Common practice among paper conservators.",
            )
        )
    if active := _active_media(museum_object):
        found.append(
            BenchCaution(
                about="media",
                text=(
                    f"{number}: the medium is recorded as active at "
                    f"{', '.join(f'F{n}' for n in active)}. No pressure, heat or moisture there "
                    "until you have looked again."
                ),
                source="The findings of the last signed report that looked there.",
            )
        )
    return found


def _active_media(museum_object: MuseumObject) -> list[int]:
    """Return the numbers of features of the medium that their last signed record calls active."""
    latest: dict[int, Observation] = {}
    blind = {FeatureState.NOT_LOOKED_AT, FeatureState.COULD_NOT_BE_SEEN}
    rows = (
        Observation.objects.filter(feature__museum_object=museum_object, taken_back=False)
        .exclude(report__digest="")
        .exclude(state__in=blind)
        .select_related("feature")
        .order_by("report__examined_at", "pk")
    )
    for row in rows:
        latest[row.feature.number] = row
    return sorted(
        number
        for number, row in latest.items()
        if row.layer == Layer.MEDIUM
        and row.activity == Activity.ACTIVE
        and row.state not in (FeatureState.GONE, FeatureState.TREATED)
    )


def is_wet(step: Word | None, material: Material | None) -> bool:
    """Whether the step or the material brings moisture or solvent to the object."""
    wet_step = step is not None and step.code in WET_STEPS
    wet_material = material is not None and (
        MaterialKind(material.kind) in BRINGS_MOISTURE | {MaterialKind.SOLVENT}
    )
    return wet_step or wet_material


def material_cautions(materials: Iterable[Material]) -> list[BenchCaution]:
    """Return what solvents and the notes on materials ask of the person at the bench."""
    rows = list(materials)
    found = []
    if any(row.kind == MaterialKind.SOLVENT for row in rows):
        found.append(
            BenchCaution(
                about="solvents",
                text=(
                    "Solvents: fume extraction on, no flame or spark, the flammables cabinet for "
                    "the rest, gloves that suit the solvent, the safety data sheet at hand."
                ),
                source="Usual caution; the data sheet and the rules of your house decide.",
            )
        )
    found += [
        BenchCaution(about=str(row), text=row.safety_note, source="Safety note on the material.")
        for row in rows
        if row.safety_note
    ]
    return found


def live_hazards(museum_object: MuseumObject) -> list[Hazard]:
    """Return the hazards on record that were not ruled out or ended; one query."""
    rows = ObjectHazard.objects.filter(museum_object=museum_object, ended_on=None).exclude(
        evidence=HazardEvidence.NONE_FOUND
    )
    return [Hazard(row.hazard) for row in rows.order_by("pk")]
