"""The ceiling of a case from what is planned in it: the lowest of everything that lies there."""

from dataclasses import dataclass
from datetime import datetime

from lifecycle.process.stages import CLOSED
from lifecycle.queries.light.clauses import clauses_of, highest_allowed
from lifecycle.queries.rights import museum_day
from lifecycle.records.models.display import Assessment
from lifecycle.records.models.exhibitions import Exhibition
from lifecycle.records.models.loans import Parameter
from lifecycle.records.models.places import Place
from lifecycle.records.models.rules import ClassRule, HouseRules
from lifecycle.records.models.showings import Showing


@dataclass(frozen=True, slots=True, kw_only=True)
class Ceiling:
    """Highest light [lx] and UV [µW/lm] allowed, and from which objects that comes."""

    lux: int | None
    uv: int | None
    because: str


def ceiling_of(exhibition: Exhibition, place: Place, at: datetime) -> Ceiling:
    """Return what binds at a place: the lowest of signed conditions, house rules and clauses.

    The count of queries does not depend on how many objects are planned there.
    """
    inside = {place.pk, *Place.objects.filter(parent=place).values_list("pk", flat=True)}
    showings = list(
        Showing.objects.filter(exhibition=exhibition, place__in=inside)
        .exclude(stage__in=[stage.value for stage in CLOSED])
        .select_related("museum_object__sensitivity_class", "place")
        .order_by("pk")
    )
    conditions: dict[int, Assessment] = {}
    rows = Assessment.objects.filter(showing__in=showings).exclude(digest="")
    for row in rows.order_by("version", "pk"):
        conditions[row.showing_id] = row
    rules = _class_rules(at)
    clauses = clauses_of(showings)
    lux: list[tuple[int, str]] = []
    uv: list[tuple[int, str]] = []
    for showing in showings:
        number = showing.museum_object.object_number
        stated = conditions.get(showing.pk)
        rule = rules.get(showing.museum_object.sensitivity_class_id or 0)
        if stated is not None:
            lux.append((stated.lux_ceiling, f"{number}: signed conditions"))
            uv.append((stated.uv_ceiling, f"{number}: signed conditions"))
        if rule is not None:
            why = f"{number}: house rules v{rule.house_rules.version}, {rule.sensitivity_class}"
            lux.append((rule.max_lux, why))
            if rule.max_uv is not None:
                uv.append((rule.max_uv, why))
        for limits, parameter in ((lux, Parameter.LUX), (uv, Parameter.UV)):
            asked = highest_allowed(clauses[showing.pk], parameter)
            if asked is not None:
                limits.append((asked, f"{number}: asked in writing"))
    parts = []
    if lux:
        parts.append(f"{min(lux)[0]} lx ({min(lux)[1]})")
    if uv:
        parts.append(f"{min(uv)[0]} µW/lm ({min(uv)[1]})")
    because = (
        "Lowest of what is planned here: " + ", ".join(parts)
        if parts
        else ("Nothing with a class or signed conditions is planned here yet.")
    )
    return Ceiling(lux=min(lux)[0] if lux else None, uv=min(uv)[0] if uv else None, because=because)


def _class_rules(at: datetime) -> dict[int, ClassRule]:
    rules = HouseRules.objects.filter(valid_from__lte=museum_day(at)).order_by("-version").first()
    rows = ClassRule.objects.filter(house_rules=rules).select_related(
        "house_rules", "sensitivity_class"
    )
    return {row.sensitivity_class_id: row for row in rows}
