"""What was treated before a caution or the house rules were changed: it may be looked at again."""

from collections.abc import Collection
from datetime import datetime
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet

from lifecycle.planning.moments import day_start, moment_of
from lifecycle.process.bench_cautions import HOT_FROM, STEPS_BRING, Brings, Trait
from lifecycle.queries.clock import museum_zone
from lifecycle.queries.treatment.materials import ByObject
from lifecycle.queries.treatment.traits import traits_of_many
from lifecycle.records.models.objects import MuseumObject
from lifecycle.records.models.rules import HouseRules
from lifecycle.records.models.treatment import (
    BRINGS_MOISTURE,
    CautionRule,
    MaterialKind,
    MaterialTest,
    StepCaution,
    TreatmentStep,
)

Objects = Collection[MuseumObject]


def changed_at(rule: CautionRule) -> datetime:
    """Return when the house last wrote this caution; one query."""
    history: Any = rule.history
    moment: datetime = history.latest("history_date").history_date
    return moment


def under_old_caution(rule: CautionRule, objects: Objects | None = None) -> ByObject:
    """Return the steps the caution speaks of, done before it was last written, by object.

    A step counts that went on in spite of the caution, or that brings what it names to an object
    that has the trait by its record today. A lapsed test is known of its own day alone, so of that
    caution only those count that went on in spite of it. A fixed number of queries.
    """
    rows = _steps(objects).filter(observed_at__lt=changed_at(rule))
    said = StepCaution.objects.filter(step=OuterRef("pk"), trait=rule.trait, brings=rule.brings)
    rows = rows.annotate(in_spite=Exists(said))
    found = list(rows.filter(Q(in_spite=True) | _bringing(Brings(rule.brings))))
    trait = Trait(rule.trait)
    if trait is not Trait.ANY:
        asked = {step.museum_object_id for step in found if not step.in_spite}
        things = MuseumObject.objects.filter(pk__in=asked).select_related("object_type")
        having = {pk for pk, traits in traits_of_many(things).items() if trait in traits}
        found = [s for s in found if s.in_spite or s.museum_object_id in having]
    return _by_object(found)


def under_rules_before(rules: HouseRules, objects: Objects | None = None) -> ByObject:
    """Return the steps done while the version before this one was in force, by object; two queries.

    Nothing, where no version was before it.
    """
    before = HouseRules.objects.filter(version__lt=rules.version).order_by("-version").first()
    if before is None:
        return {}
    zone = museum_zone()
    since, until = (moment_of(day_start(one.valid_from, zone), zone) for one in (before, rules))
    rows = _steps(objects).filter(observed_at__gte=since, observed_at__lt=until)
    return _by_object(rows)


def _steps(objects: Objects | None) -> "QuerySet[TreatmentStep, Any]":
    rows = TreatmentStep.objects.filter(corrected_by=None).select_related("step", "material")
    if objects is not None:
        rows = rows.filter(museum_object__in=[one.pk for one in objects])
    return rows.order_by("observed_at", "pk")


def _by_object(steps: Any) -> ByObject:
    found: ByObject = {}
    for step in steps:
        found.setdefault(step.museum_object_id, []).append(step)
    return found


def _bringing(brings: Brings) -> Q:
    """Steps that bring this, by themselves or with their material."""
    lining = Brings.LINING if brings is Brings.LINING_BOTH else brings
    by_itself = Q(step__code__in=STEPS_BRING.get(lining, frozenset()))
    with_material = {
        Brings.HEAT: Q(temperature_c__gte=HOT_FROM),
        Brings.MOISTURE: Q(material__kind__in=BRINGS_MOISTURE),
        Brings.SOLVENT: Q(material__kind=MaterialKind.SOLVENT),
        Brings.FILM: Q(material__kind=MaterialKind.FILM),
        Brings.ALKALI: Q(material__alkaline=True),
        Brings.TEST_FAILED: Q(material__test_state=MaterialTest.FAILED),
        Brings.NOT_TESTED: Q(material__test_state=MaterialTest.TO_TEST),
    }
    return by_itself | with_material[brings] if brings in with_material else by_itself
