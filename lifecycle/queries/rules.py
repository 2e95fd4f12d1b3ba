"""House rules as they stand: every version with its limits by class."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from lifecycle.records.models import ClassRule, HouseRules, SensitivityClass


@dataclass(frozen=True, slots=True)
class RulesVersion:
    """One version with its limits, and whether it is the one in force."""

    rules: HouseRules
    limits: Sequence[ClassRule]
    in_force: bool


@dataclass(frozen=True, slots=True)
class AllRules:
    """Every version, the one shown, and the classes there are."""

    shown: RulesVersion | None
    versions: Sequence[HouseRules]
    classes: Sequence[SensitivityClass]
    in_force: int


def version_in_force(day: date) -> HouseRules | None:
    """Return the version that holds on ``day``: the latest that has begun."""
    return (
        HouseRules.objects.filter(valid_from__lte=day)
        .select_related("approved_by")
        .order_by("-version")
        .first()
    )


def all_rules(day: date, *, version: int | None = None) -> AllRules:
    """Read the rules for their page: the version asked for, or the one in force."""
    versions = list(HouseRules.objects.select_related("approved_by").order_by("-version"))
    begun = [one for one in versions if one.valid_from <= day]
    in_force = begun[0].version if begun else 0
    wanted = version or in_force or (versions[0].version if versions else 0)
    rules = next((one for one in versions if one.version == wanted), None)
    shown = None
    if rules is not None:
        limits = rules.classes.select_related("sensitivity_class").order_by("allowance_lx_h", "pk")
        shown = RulesVersion(rules, list(limits), rules.version == in_force)
    return AllRules(
        shown=shown,
        versions=versions,
        classes=list(SensitivityClass.objects.order_by("label", "pk")),
        in_force=in_force,
    )


def last_version() -> HouseRules | None:
    """Return the latest version, in force or still to come: what a new one copies."""
    return HouseRules.objects.order_by("-version").first()


def limits_by_class(rules: HouseRules | None) -> dict[int, ClassRule]:
    """Return the limits of a version by the pk of their class."""
    if rules is None:
        return {}
    return {row.sensitivity_class_id: row for row in rules.classes.order_by("pk")}
