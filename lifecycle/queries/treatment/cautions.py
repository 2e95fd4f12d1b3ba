"""Cautions at the bench: which rules a step or a version raises on an object, with the source.

The tool warns and records; the conservator decides, and the safety data sheet, local rules and
licensed practice stand above every sentence here.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from lifecycle.process.bench_cautions import (
    NEVER_MINOR,
    STEPS_BRING,
    WET_STEPS,
    Basis,
    Brings,
    Raised,
    Rule,
    Trait,
    brought_by_step,
    raised,
)
from lifecycle.process.bench_rules import rules_with
from lifecycle.process.days import day_words
from lifecycle.process.material_tests import Standing
from lifecycle.process.words import Hazard, HazardEvidence
from lifecycle.queries.treatment.materials import standings
from lifecycle.queries.treatment.traits import traits_of
from lifecycle.records.models.objects import Face, MuseumObject, ObjectHazard
from lifecycle.records.models.treatment import (
    BRINGS_MOISTURE,
    CautionRule,
    Material,
    MaterialKind,
    MaterialTest,
    ProposalVersion,
    TreatmentStep,
)
from lifecycle.records.models.words import Word


@dataclass(frozen=True, slots=True)
class BenchCaution:
    """One warning in words; ``why`` is the reason a version or a step gave for going on."""

    about: str
    text: str
    source: str
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class AtBench:
    """An object as the rules see it: traits with their records, faces, faces lined already."""

    traits: Mapping[Trait, str]
    rules: tuple[Rule, ...]
    faces: tuple[int, ...]
    lined: frozenset[int]


def at_bench(museum_object: MuseumObject) -> AtBench:
    """Read what the rules need of an object; a fixed number of queries."""
    faces = tuple(museum_object.faces.order_by("order", "pk").values_list("pk", flat=True))
    lined: set[int] = set()
    done = TreatmentStep.objects.filter(
        museum_object=museum_object, step__code__in=STEPS_BRING[Brings.LINING], corrected_by=None
    )
    for face in done.values_list("face", flat=True):
        lined |= set(faces) if face is None else {face}
    return AtBench(
        traits=traits_of(museum_object),
        rules=caution_rules(),
        faces=faces,
        lined=frozenset(lined),
    )


def caution_rules() -> tuple[Rule, ...]:
    """Return every rule with the house's words in the place of those that ship; one query."""
    own = CautionRule.objects.order_by("pk")
    return rules_with(
        Rule(
            trait=Trait(row.trait),
            brings=Brings(row.brings),
            text=row.text,
            source=row.source,
            basis=Basis(row.basis),
            asks=row.asks,
            in_use=row.in_use,
        )
        for row in own
    )


def raised_by_step(
    thing: AtBench,
    *,
    step: Word,
    day: date,
    material: Material | None = None,
    temperature_c: Decimal | None = None,
    face: Face | None = None,
) -> tuple[Raised, ...]:
    """Return the rules one step raises; ``day`` is the day of the step, for tests that lapse."""
    used = [] if material is None else [material]
    brings = _of_step(step, temperature_c) | _of_materials(used, day)
    if Brings.LINING in brings:
        lined = set(thing.lined) | (set(thing.faces) if face is None else {face.pk})
        _both(brings, lined, thing)
    return raised(thing.traits, brings, thing.rules)


def raised_by_version(thing: AtBench, version: ProposalVersion, day: date) -> tuple[Raised, ...]:
    """Return the rules the planned steps and materials of a version raise together."""
    brings: dict[Brings, str] = {}
    lined = set(thing.lined)
    for planned in version.steps.filter(left_out=False).select_related("step"):
        for one, words in _of_step(planned.step).items():
            brings.setdefault(one, words)
        if planned.step.code in STEPS_BRING[Brings.LINING]:
            lined |= set(thing.faces) if planned.face_id is None else {planned.face_id}
    lines = version.materials.filter(left_out=False).select_related("material")
    for one, words in _of_materials([line.material for line in lines], day).items():
        brings.setdefault(one, words)
    if Brings.LINING in brings:
        _both(brings, lined, thing)
    return raised(thing.traits, brings, thing.rules)


def _both(brings: dict[Brings, str], lined: set[int], thing: AtBench) -> None:
    if len(lined & set(thing.faces)) > 1:
        brings[Brings.LINING_BOTH] = "more than one face would be lined"


def brought_by(
    code: str, kind: MaterialKind | None, temperature_c: Decimal | None = None
) -> frozenset[Brings]:
    """Return what a step brings with a material of this kind, before any batch is chosen."""
    found = set(brought_by_step(code, temperature_c))
    if kind in BRINGS_MOISTURE:
        found.add(Brings.MOISTURE)
    if kind is MaterialKind.SOLVENT:
        found.add(Brings.SOLVENT)
    if kind is MaterialKind.FILM:
        found.add(Brings.FILM)
    return frozenset(found)


def _of_step(step: Word, temperature_c: Decimal | None = None) -> dict[Brings, str]:
    found = brought_by_step(step.code, temperature_c)
    return {one: f"{step.label} brings {one.label}" for one in sorted(found)}


def _of_materials(materials: Sequence[Material], day: date) -> dict[Brings, str]:
    """What materials bring, the first that brings it named; at most one query for their tests."""
    tested = [one for one in materials if one.test_state == MaterialTest.TESTED]
    told = standings(tested, day) if tested else {}
    found: dict[Brings, str] = {}
    for material in materials:
        for one, words in _of_material(material, told.get(material.pk, Standing())).items():
            found.setdefault(one, words)
    return found


def _of_material(material: Material, standing: Standing) -> dict[Brings, str]:
    found: dict[Brings, str] = {}
    if material.kind in BRINGS_MOISTURE:
        found[Brings.MOISTURE] = f"{material} brings {Brings.MOISTURE.label}"
    if material.kind == MaterialKind.SOLVENT:
        found[Brings.SOLVENT] = f"{material} is a solvent"
    if material.kind == MaterialKind.FILM:
        found[Brings.FILM] = f"{material} is plastic film"
    if material.alkaline:
        found[Brings.ALKALI] = f"{material} holds an alkaline reserve"
    if material.test_state == MaterialTest.FAILED:
        found[Brings.TEST_FAILED] = f"{material} failed its test"
    if material.test_state == MaterialTest.TO_TEST:
        found[Brings.NOT_TESTED] = f"{material} is still to be tested"
    for one in standing.lapsed:
        words = f"the {one.how.label} of {material} counted until {day_words(one.until)}"
        found[Brings.TEST_LAPSED] = words
    return found


def said(found: Iterable[Raised], reasons: Mapping[tuple[str, str], str]) -> list[BenchCaution]:
    """Return raised rules in words, with the reason on record for each, by (trait, brings)."""
    return [
        BenchCaution(
            about=f"{one.rule.trait.label} and {one.rule.brings.label}",
            text=f"{one.rule.text} ({one.because}.)",
            source=f"{one.rule.source}; {one.rule.basis.label}.",
            why=reasons.get((one.rule.trait.value, one.rule.brings.value), ""),
        )
        for one in found
    ]


def reasons_of(version: ProposalVersion | None) -> dict[tuple[str, str], str]:
    """Return the reasons a version gives for going on, by (trait, brings)."""
    if version is None:
        return {}
    rows = version.cautions.filter(left_out=False).exclude(why="")
    return {(row.trait, row.brings): row.why for row in rows}


def object_cautions(thing: AtBench) -> list[BenchCaution]:
    """Return what an object asks for whatever is done: every rule in use of its traits."""
    return [
        BenchCaution(
            about=f"with {rule.brings.label}",
            text=f"{rule.text} ({thing.traits[rule.trait]}.)",
            source=f"{rule.source}; {rule.basis.label}.",
        )
        for rule in thing.rules
        if rule.in_use and rule.trait in thing.traits
    ]


def never_minor(museum_object: MuseumObject) -> list[str]:
    """Return the ink, moisture and media traits that keep standing consents away."""
    found = traits_of(museum_object)
    return [f"{one.label}: {words}" for one, words in found.items() if one in NEVER_MINOR]


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
