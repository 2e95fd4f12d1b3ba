"""House rules: a version in force is never edited; a new one copies it and is approved whole."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.db.models import Max
from django.utils.text import slugify

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import ClassRule, HouseRules, Person, SensitivityClass


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassLimits:
    """The limits of one sensitivity class; units in the names."""

    sensitivity_class: SensitivityClass
    max_lux: int
    allowance_lx_h: int
    window_years: int
    rest_months: int
    max_showing_weeks: int | None
    max_uv: int | None
    reading_every_days: int
    look_every_days: int
    turn_needed_above_percent: int
    never_show: bool
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RulesDetails:
    """What a version says beside the limits of the classes."""

    valid_from: date
    source: str
    taking_over_until: date | None
    fresh_look_months: int
    consent_lapses_months: int
    second_reader_needed: bool
    charge_lab_light_above_percent: int
    travel_days: int
    between_readings_mean: bool
    notes: str


def _reasons(details: RulesDetails, limits: Sequence[ClassLimits], today: date) -> list[Reason]:
    reasons = []
    if details.valid_from < today:
        reasons.append(
            Reason(
                "New rules begin today or later: what was decided stays under the rules of its "
                "day.",
                "valid_from",
            )
        )
    if not details.source.strip():
        reasons.append(Reason("Say where the figures come from.", "source"))
    if not limits:
        reasons.append(Reason("Rules without a class say nothing: fill in at least one class."))
    for one in limits:
        name = one.sensitivity_class.label
        if not one.source.strip():
            reasons.append(Reason(f"{name}: say where its figures come from."))
        if not one.never_show and one.max_lux < 1:
            reasons.append(Reason(f"{name}: the highest illuminance is at least 1 lx."))
        if one.window_years < 1:
            reasons.append(Reason(f"{name}: the rolling window is at least one year."))
        if not one.never_show and one.allowance_lx_h < 1:
            reasons.append(
                Reason(
                    f"{name}: without an allowance nothing could be shown; choose "
                    "“facsimile only” if that is meant."
                )
            )
        if one.turn_needed_above_percent > 100:
            reasons.append(Reason(f"{name}: a percentage is 100 at most."))
        if min(one.reading_every_days, one.look_every_days) < 1:
            reasons.append(Reason(f"{name}: readings and looks are at least a day apart."))
    return reasons


@transaction.atomic
def approve_rules(
    *,
    by: Person,
    role: Role,
    at: datetime,
    details: RulesDetails,
    limits: Sequence[ClassLimits],
    follows: int,
) -> HouseRules:
    """Approve the next version, whole, by the head of collections.

    ``follows`` is the version the person copied; when another came meanwhile, this one is refused
    and nothing is lost, since the form keeps what was typed.
    """
    allow(by=by, role=role, deed=Deed.OVERRIDE, at=at)
    today = museum_day(at)
    list(HouseRules.objects.select_for_update().order_by("version").values_list("pk", flat=True))
    last = HouseRules.objects.aggregate(last=Max("version"))["last"] or 0
    reasons = _reasons(details, limits, today)
    if last != follows:
        reasons.append(
            Reason(
                f"Version {last} was approved while you were writing; compare with it, then "
                "approve again.",
                code="stale",
            )
        )
    if reasons:
        raise Refused(reasons)
    version = HouseRules(version=last + 1, approved_by=by, approved_on=today)
    for name in RulesDetails.__dataclass_fields__:
        setattr(version, name, getattr(details, name))
    why = f"Approved as version {last + 1}."
    version.keep(by=by, role=role, why=why, at=at)
    for one in limits:
        rule = ClassRule(house_rules=version)
        for name in ClassLimits.__dataclass_fields__:
            setattr(rule, name, getattr(one, name))
        rule.keep(by=by, role=role, why=why, at=at)
    return version


@transaction.atomic
def add_class(
    *, by: Person, role: Role, at: datetime, label: str, definition: str
) -> SensitivityClass:
    """Add a sensitivity class; it has no limits until the next version gives it some."""
    allow(by=by, role=role, deed=Deed.OVERRIDE, at=at)
    label = label.strip()
    code = slugify(label)[:24]
    reasons = []
    if not code:
        reasons.append(Reason("Name the class in letters.", "label"))
    elif SensitivityClass.objects.filter(code=code).exists():
        reasons.append(Reason(f"There is a class “{label}” already.", "label"))
    if not definition.strip():
        reasons.append(Reason("Say in your own words what belongs in it.", "definition"))
    if reasons:
        raise Refused(reasons)
    made = SensitivityClass(code=code, label=label, definition=definition.strip())
    return made.keep(by=by, role=role, why="Class added.", at=at)
