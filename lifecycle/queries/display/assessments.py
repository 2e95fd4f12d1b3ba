"""What the house rules and the light account offer as a start for a display assessment."""

from dataclasses import dataclass
from datetime import datetime

from lifecycle.process.words import FitForDisplay, Orientation
from lifecycle.queries.light import accounts_of
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import (
    Assessment,
    ClassRule,
    Face,
    HouseRules,
    SensitivityClass,
    Showing,
)
from lifecycle.records.models.display.assessment import (
    AssessmentKind,
    RotationKind,
    TravelAllowed,
)


def rules_in_force(at: datetime) -> HouseRules | None:
    """Return the house rules that hold on the museum's day."""
    return HouseRules.objects.filter(valid_from__lte=museum_day(at)).order_by("-version").first()


def class_rule_on(
    rules: HouseRules | None, sensitivity_class: SensitivityClass | None
) -> ClassRule | None:
    """Return the limits of a class in one version of the rules."""
    if rules is None or sensitivity_class is None:
        return None
    return (
        ClassRule.objects.filter(house_rules=rules, sensitivity_class=sensitivity_class)
        .select_related("house_rules")
        .first()
    )


def assessments_of(showing: Showing) -> list[Assessment]:
    """Return every version, the latest first."""
    return list(
        Assessment.objects.filter(showing=showing)
        .select_related("sensitivity_class", "house_rules")
        .prefetch_related("grounds")
        .order_by("-version")
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """Where a fresh assessment begins, with the reason of each figure in words."""

    values: dict[str, object]
    because: tuple[str, ...]


def start_of(showing: Showing, at: datetime) -> Start:
    """Return the figures that house rules and accounts offer; what is unknown stays empty.

    The most light per face is what is left in the worst account of the faces wanted.
    """
    thing = showing.museum_object
    faces = list(
        Face.objects.filter(wanted_in__showing=showing, wanted_in__struck=False)
        .select_related("sensitivity_class")
        .order_by("wanted_in__order", "pk")
    )
    classes = [face.sensitivity_class or thing.sensitivity_class for face in faces]
    rules = rules_in_force(at)
    rated = [rule for one in classes if (rule := class_rule_on(rules, one)) is not None]
    values: dict[str, object] = {
        "kind": AssessmentKind.AT_BENCH,
        "fit": FitForDisplay.YES,
        "rotation_plan": (RotationKind.TURN_TO_NEXT_FACE if len(faces) > 1 else RotationKind.NONE),
        "orientation": Orientation(thing.orientation_rule),
        "travel_allowed": TravelAllowed.WITHIN_BUILDING,
        "must_be_cased": True,
    }
    because = []
    if rated:
        strict = min(rated, key=lambda rule: rule.max_lux)
        weeks = -(-((showing.show_to - showing.show_from).days + 1) // 7)
        values |= {
            "sensitivity_class": strict.sensitivity_class_id,
            "lux_ceiling": strict.max_lux,
            "uv_ceiling": strict.max_uv,
            "max_weeks": min(strict.max_showing_weeks or weeks, weeks),
            "look_every_days": min(rule.look_every_days for rule in rated),
            "reading_every_days": min(rule.reading_every_days for rule in rated),
        }
        because.append(
            f"House rules v{strict.house_rules.version} for the strictest class of its faces."
        )
    accounts = accounts_of(faces, at)
    left = [account.left.likely for account in accounts.values() if account.left is not None]
    if left:
        values["max_dose_lx_h"] = max(0, int(min(left)))
        because.append("The most light is what is left in the worst account of its faces.")
    return Start(values=values, because=tuple(because))
