"""Is it housed? Counted in units: one for an object, or one for each of its components."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

from django.db.models import Q

from lifecycle.process.facts.preparation import HousingFacts
from lifecycle.process.stages import CLOSED
from lifecycle.queries.rights import museum_day
from lifecycle.records.models.objects import Component, MuseumObject
from lifecycle.records.models.papers_out import PaperKind, Print
from lifecycle.records.models.preparation import Housing
from lifecycle.records.models.showings import Waiver

NOT_HOUSED: Final = "housing.fits"
"""The gate's code, which is the key of a waiver; ``about`` is empty or a component's label."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """Something that needs a housing of its own, and what there is for it."""

    object_number: str
    component: str
    housing: Housing | None
    labelled_at: datetime | None = None
    """When the label that says what the housing is now was printed, or written by hand."""

    @property
    def name(self) -> str:
        return f"{self.object_number}, {self.component}" if self.component else self.object_number

    @property
    def housed(self) -> bool:
        return self.housing is not None and self.housing.fits is True


def units_of(object_ids: Iterable[int]) -> dict[int, list[Unit]]:
    """Return what of each object needs housing; four queries however many objects.

    A housing for the whole object serves for its components; otherwise each component counts.
    """
    wanted = list(dict.fromkeys(object_ids))
    numbers = dict(MuseumObject.objects.filter(pk__in=wanted).values_list("pk", "object_number"))
    components: dict[int, list[Component]] = {pk: [] for pk in wanted}
    for component in Component.objects.filter(museum_object__in=wanted).order_by("label", "pk"):
        components[component.museum_object_id].append(component)
    whole: dict[int, Housing] = {}
    parts: dict[int, Housing] = {}
    in_use = Housing.objects.filter(museum_object__in=wanted, retired_at=None)
    for housing in in_use.select_related("kind", "component", "with_whom").order_by("pk"):
        if housing.component_id is None:
            whole[housing.museum_object_id] = housing
        else:
            parts[housing.component_id] = housing
    labels = labels_of([*whole.values(), *parts.values()])
    return {
        pk: [
            replace(unit, labelled_at=labels.get(unit.housing.pk) if unit.housing else None)
            for unit in _units(numbers[pk], components[pk], whole.get(pk), parts)
        ]
        for pk in wanted
        if pk in numbers
    }


def _units(
    number: str, components: Sequence[Component], whole: Housing | None, parts: dict[int, Housing]
) -> list[Unit]:
    own = [c for c in components if c.pk in parts]
    if whole is not None or not own:
        return [Unit(object_number=number, component="", housing=whole)]
    return [
        Unit(object_number=number, component=c.label, housing=parts.get(c.pk)) for c in components
    ]


def labels_of(housings: Sequence[Housing]) -> dict[int, datetime]:
    """When each housing got the label that holds, printed or by hand, the later of both.

    A label that was printed from an earlier specification, or was lost or made void, is none.
    """
    by_uid = {housing.uid: housing for housing in housings}
    found = {h.pk: h.label_printed_at for h in housings if h.label_printed_at is not None}
    rows = Print.objects.filter(
        paper=PaperKind.HOUSING_LABEL, record_uid__in=list(by_uid), write_off=None
    )
    for uid, at, edition in rows.values_list("record_uid", "printed_at", "words__paper__edition"):
        housing = by_uid[uid]
        if edition == housing.edition:
            found[housing.pk] = max(found.get(housing.pk, at), at)
    return found


def housing_refusals(object_ids: Sequence[int], at: datetime) -> list[str]:
    """Return why these objects may not go to store: empty when all are housed or waived.

    The count is over everything on the slip: 'not housed (9 of 9)'.
    """
    units = units_of(object_ids)
    waived = _waived(object_ids, at)
    everything = [unit for lines in units.values() for unit in lines]
    missing = [
        unit
        for pk, lines in units.items()
        for unit in lines
        if not unit.housed and not {(pk, ""), (pk, unit.component)} & waived
    ]
    if not missing:
        return []
    names = ", ".join(unit.name for unit in missing[:12])
    more = f" and {len(missing) - 12} more" if len(missing) > 12 else ""
    return [
        f"not housed ({len(missing)} of {len(everything)}): {names}{more}. Record that the housing "
        "fits, or have it waived until a date."
    ]


def _waived(object_ids: Sequence[int], at: datetime) -> set[tuple[int, str]]:
    today = museum_day(at)
    alive = Q(until=None) | Q(until__gte=today)
    rows = Waiver.objects.filter(
        alive,
        showing__museum_object__in=object_ids,
        code=NOT_HOUSED,
        ended_at=None,
        at__lte=at,
    ).exclude(showing__stage__in=[stage.value for stage in CLOSED])
    return set(rows.values_list("showing__museum_object", "about"))


def housing_facts(units: Sequence[Unit]) -> HousingFacts:
    """Return what the gates ask of an object's housing, over all its parts."""
    made = [unit.housing for unit in units if unit.housing is not None]
    not_housed = tuple(unit.component for unit in units if not unit.housed)
    if not made:
        return HousingFacts(not_housed=not_housed)
    complete = len(made) == len(units)
    return HousingFacts(
        uid=str(made[0].uid),
        number=", ".join(housing.housing_no for housing in made),
        specified=complete,
        fits=complete and not not_housed,
        not_housed=not_housed,
        label_printed=complete and all(unit.labelled_at is not None for unit in units),
        labelled_at=min((u.labelled_at for u in units if u.labelled_at is not None), default=None),
        person=" and ".join(
            dict.fromkeys(h.with_whom.full_name for h in made if h.with_whom and h.fits is not True)
        ),
        fit_for_travel=complete and all(h.fit_for_travel for h in made),
    )
