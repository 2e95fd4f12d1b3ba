"""The display assessment: written, signed by a conservator, its conditions accepted."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.moves import lock_showing
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.actions.signing import Hand, sign
from lifecycle.planning.counting import counted
from lifecycle.process.rights import Deed
from lifecycle.process.stages import CLOSED, Role, Stage
from lifecycle.process.words import FitForDisplay, Orientation, SignCapacity
from lifecycle.queries.display.assessments import class_rule_on
from lifecycle.queries.rights import about_showing, museum_day
from lifecycle.records.models import (
    Assessment,
    HouseRules,
    Person,
    SensitivityClass,
    Showing,
    Signature,
    Word,
)
from lifecycle.records.models.display.assessment import (
    AssessmentKind,
    RotationKind,
    TravelAllowed,
)

GROUNDED = frozenset(
    {FitForDisplay.NO, FitForDisplay.FACSIMILE_ONLY, FitForDisplay.AFTER_TREATMENT}
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """What a conservator decides; light in lx, µW/lm and lx·h, climate in °C and % RH."""

    kind: AssessmentKind
    fit: FitForDisplay
    sensitivity_class: SensitivityClass
    lux_ceiling: int
    uv_ceiling: int
    max_dose_lx_h: int
    max_weeks: int
    rotation_plan: RotationKind
    look_every_days: int
    reading_every_days: int
    grounds: Sequence[Word] = ()
    ground_note: str = ""
    treatment_hours: Decimal | None = None
    mount_hours: Decimal | None = None
    t_min_c: Decimal | None = None
    t_max_c: Decimal | None = None
    rh_min: Decimal | None = None
    rh_max: Decimal | None = None
    rh_change_24h: Decimal | None = None
    rh_change_1h: Decimal | None = None
    support_rule: str = ""
    max_opening_angle: int | None = None
    orientation: Orientation = Orientation.ANY
    must_be_cased: bool = True
    glazing: str = ""
    travel_allowed: TravelAllowed = TravelAllowed.WITHIN_BUILDING


def _faults(said: Conditions, rules: HouseRules | None) -> Iterator[Reason]:
    if said.fit in GROUNDED and not said.grounds:
        yield Reason("Choose the grounds of this decision.", "grounds", "assessment.grounds")
    for low, high, field, what in (
        (said.t_min_c, said.t_max_c, "t_max_c", "temperature"),
        (said.rh_min, said.rh_max, "rh_max", "relative humidity"),
    ):
        if low is not None and high is not None and high < low:
            text = f"The upper limit of {what} lies below the lower one."
            yield Reason(text, field, "assessment.band")
    rh = [value for value in (said.rh_min, said.rh_max) if value is not None]
    if any(not 0 <= value <= 100 for value in rh):
        text = "Relative humidity lies between 0 and 100 %."
        yield Reason(text, "rh_max", "assessment.band")
    if said.max_weeks < 1:
        yield Reason("A showing lasts at least a week.", "max_weeks", "assessment.weeks")
    if said.look_every_days < 1 or said.reading_every_days < 1:
        text = "Looks and readings come round in one day or more."
        yield Reason(text, "look_every_days", "assessment.intervals")
    rule = class_rule_on(rules, said.sensitivity_class)
    if rule is None:
        return
    if said.lux_ceiling > rule.max_lux:
        text = (
            f"House rules v{rule.house_rules.version} allow {rule.max_lux} lx in this class; "
            "a lower ceiling may be set, a higher one takes new house rules."
        )
        yield Reason(text, "lux_ceiling", "assessment.lux")
    if rule.max_uv is not None and said.uv_ceiling > rule.max_uv:
        text = (
            f"House rules v{rule.house_rules.version} allow {rule.max_uv} µW/lm of UV "
            "in this class."
        )
        yield Reason(text, "uv_ceiling", "assessment.uv")
    if rule.max_showing_weeks is not None and said.max_weeks > rule.max_showing_weeks:
        text = (
            f"House rules v{rule.house_rules.version} allow "
            f"{counted(rule.max_showing_weeks, 'week')} in this class."
        )
        yield Reason(text, "max_weeks", "assessment.weeks")


@transaction.atomic
def write_assessment(
    *, by: Person, role: Role, at: datetime, showing: Showing, said: Conditions
) -> Assessment:
    """Write the assessment, or write over the draft; a signed one gets a further version.

    :raises Refused: a no without grounds, bands the wrong way round, limits above the house rules
    """
    kept = lock_showing(showing.pk)
    allow(by=by, role=role, deed=Deed.EXAMINE, at=at, about=about_showing(kept))
    if kept.stage in CLOSED:
        raise Refused(f"{kept.request_no} is closed ({Stage(kept.stage).label}).")
    rules = HouseRules.objects.filter(valid_from__lte=museum_day(at)).order_by("-version").first()
    if reasons := list(_faults(said, rules)):
        raise Refused(reasons)
    last = (
        Assessment.objects.select_for_update(of=("self",))
        .filter(showing=kept)
        .order_by("-version")
        .first()
    )
    if last is None or last.signed:
        row = Assessment(
            showing=kept, version=1 if last is None else last.version + 1, replaces=last
        )
    else:
        row = last
    row.kind, row.fit_for_display = said.kind.value, said.fit.value
    row.sensitivity_class, row.house_rules = said.sensitivity_class, rules
    row.ground_note = said.ground_note.strip()
    row.rotation_plan = said.rotation_plan.value
    row.travel_allowed, row.orientation = said.travel_allowed.value, said.orientation.value
    for name in (
        "lux_ceiling",
        "uv_ceiling",
        "max_dose_lx_h",
        "max_weeks",
        "look_every_days",
        "reading_every_days",
        "treatment_hours",
        "mount_hours",
        "t_min_c",
        "t_max_c",
        "rh_min",
        "rh_max",
        "rh_change_24h",
        "rh_change_1h",
        "support_rule",
        "max_opening_angle",
        "must_be_cased",
        "glazing",
    ):
        setattr(row, name, getattr(said, name))
    row.keep(by=by, role=role, why="assessment written", at=at)
    row.put_lists(grounds=said.grounds)
    return row.keep(by=by, role=role, why="grounds named", at=at)


@transaction.atomic
def sign_assessment(
    *, by: Person, role: Role, at: datetime, assessment: Assessment, hand: Hand
) -> Signature:
    """Sign the assessment; from now on it is the yardstick for this showing.

    :raises Refused: when it is signed already, or the hand can't sign
    """
    kept = lock_showing(assessment.showing_id)
    allow(by=hand.person, role=hand.role, deed=Deed.EXAMINE, at=at, about=about_showing(kept))
    row = Assessment.objects.select_for_update(of=("self",)).get(pk=assessment.pk)
    if row.signed:
        raise Refused("This version is signed; a change is a new version.")
    return sign(record=row, capacity=SignCapacity.AUTHOR, hand=hand, at=at)


@transaction.atomic
def accept_conditions(
    *, by: Person, role: Role, at: datetime, assessment: Assessment, hand: Hand
) -> Signature:
    """The curator accepts the conditions of a signed assessment, by name.

    :raises Refused: before a conservator has signed, or when a later version stands
    """
    kept = lock_showing(assessment.showing_id)
    allow(by=hand.person, role=hand.role, deed=Deed.CHOOSE, at=at, about=about_showing(kept))
    row = Assessment.objects.select_for_update(of=("self",)).get(pk=assessment.pk)
    if not row.signed:
        raise Refused("A conservator signs the assessment first.")
    if Assessment.objects.filter(showing=kept, version__gt=row.version).exists():
        raise Refused("There is a later version of this assessment; read that one.")
    return sign(record=row, capacity=SignCapacity.CONSENT, hand=hand, at=at)
