"""House rules: a version in force is never edited; a new one copies it and is approved whole."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.db.models import Max
from django.utils.text import slugify

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.class_limits import Limits
from lifecycle.process.offsets import OFFSETS
from lifecycle.process.readiness import READY_GATES
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.process.switches import Switch
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import (
    ClassRule,
    Exhibition,
    GateDays,
    GateSwitch,
    HouseRules,
    Person,
    SensitivityClass,
)
from lifecycle.records.models.rules import DAYS_SOURCE, SecondFactor

MOST_DAYS = 730


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassLimits(Limits):
    """The limits of one sensitivity class of this museum."""

    sensitivity_class: SensitivityClass


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
    second_factor: SecondFactor = SecondFactor.NOT_ASKED
    second_factor_roles: Sequence[str] = ()
    second_factor_grace_days: int = 7
    single_sign_on_only: bool = False
    ink_not_shown_from: int | None = 4
    ink_sign_off_from: int | None = 3
    facsimile_print_days: int = 15
    facsimile_proof_days: int = 10
    days_source: str = DAYS_SOURCE
    days_off: Sequence[tuple[str, str]] = ()


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
    if not details.days_source.strip():
        said = "Say where the days come from by which things are needed."
        reasons.append(Reason(said, "days_source"))
    if not details.source.strip():
        reasons.append(Reason("Say where the figures come from.", "source"))
    named = details.second_factor == SecondFactor.NAMED_ROLES
    if named and not details.second_factor_roles:
        said = "Say which roles are asked for a second step."
        reasons.append(Reason(said, "second_factor_roles"))
    if set(details.second_factor_roles) - set(Role):
        reasons.append(Reason("One of these is no role.", "second_factor_roles"))
    if not 0 <= details.second_factor_grace_days <= 60:
        reasons.append(Reason("From 0 to 60 days.", "second_factor_grace_days"))
    for name in ("facsimile_print_days", "facsimile_proof_days"):
        if not 0 <= getattr(details, name) <= 250:
            reasons.append(Reason("From 0 to 250 working days.", name))
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


def _gate_reasons(
    off: Collection[str], days: Mapping[str, int], working: Collection[str] = ()
) -> Iterator[Reason]:
    """Yield what is wrong with the gates: the chain every showing keeps has no switch."""
    for gate in sorted(set(off) - set(Switch)):
        text = f"“{gate}” can’t be switched off: it belongs to the chain every showing keeps."
        yield Reason(text, code="rules.gate_kept")
    known: dict[str, str] = {gate.code: gate.label for gate in READY_GATES}
    known |= {one.code: one.label for one in OFFSETS}
    if set(working) - set(days):
        yield Reason("Say how many working days.", code="rules.gate_days")
    for code, figure in days.items():
        if code not in known:
            yield Reason(f"There is no gate {code} in the readiness.", code="rules.gate_unknown")
        elif not 0 <= figure <= MOST_DAYS:
            text = f"{code} {known[code]}: between 0 and {MOST_DAYS} days before."
            yield Reason(text, f"days_{code}", "rules.gate_days")


@transaction.atomic
def approve_rules(
    *,
    by: Person,
    role: Role,
    at: datetime,
    details: RulesDetails,
    limits: Sequence[ClassLimits],
    follows: int,
    off: Collection[str] = (),
    days: Mapping[str, int] | None = None,
    working: Collection[str] = (),
) -> HouseRules:
    """Approve the next version, whole, by the head of collections.

    ``off`` names the gates that are left out, ``days`` how many days before a gate of the
    readiness is needed where the museum says otherwise; ``working`` names those that are counted in
    working days. ``follows`` is the version the person
    copied; when another came meanwhile, this one is refused and nothing is lost, since the form
    keeps what was typed.
    """
    allow(by=by, role=role, deed=Deed.OVERRIDE, at=at)
    today = museum_day(at)
    list(HouseRules.objects.select_for_update().order_by("version").values_list("pk", flat=True))
    last = HouseRules.objects.aggregate(last=Max("version"))["last"] or 0
    reasons = [*_reasons(details, limits, today), *_gate_reasons(off, days or {}, working)]
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
        value = getattr(details, name)
        setattr(version, name, list(value) if isinstance(value, tuple) else value)
    why = f"Approved as version {last + 1}."
    version.keep(by=by, role=role, why=why, at=at)
    for one in limits:
        rule = ClassRule(house_rules=version)
        for name in ClassLimits.__dataclass_fields__:
            setattr(rule, name, getattr(one, name))
        rule.keep(by=by, role=role, why=why, at=at)
    for gate in Switch:
        GateSwitch(house_rules=version, gate=gate.value, taken=gate not in off).keep(
            by=by, role=role, why=why, at=at
        )
    for code, figure in (days or {}).items():
        GateDays(house_rules=version, gate=code, days=figure, working=code in working).keep(
            by=by, role=role, why=why, at=at
        )
    return version


@transaction.atomic
def differ_in(
    *,
    by: Person,
    role: Role,
    at: datetime,
    exhibition: Exhibition,
    said: Mapping[str, bool | None],
    why: str,
) -> list[GateSwitch]:
    """Let one exhibition do otherwise than the house rules: on, off, or (None) as the rules say.

    :raises Refused: without a reason, or for a gate that has no switch
    """
    allow(by=by, role=role, deed=Deed.OVERRIDE, at=at)
    Exhibition.objects.select_for_update().get(pk=exhibition.pk)
    reasons = list(_gate_reasons(said, {}))
    if not why.strip():
        reasons.append(Reason("Say why this exhibition does otherwise.", "why"))
    if reasons:
        raise Refused(reasons)
    have = {row.gate: row for row in GateSwitch.objects.filter(exhibition=exhibition)}
    written = []
    for gate in Switch:
        if gate not in said:
            continue
        row, taken = have.get(gate.value), said[gate]
        if row is None and taken is not None:
            row = GateSwitch(exhibition=exhibition, gate=gate.value)
        if row is None or row.taken == taken:
            continue
        row.taken = taken
        written.append(row.keep(by=by, role=role, why=why.strip(), at=at))
    return written


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


@transaction.atomic
def add_classes(
    *, by: Person, role: Role, at: datetime, classes: Sequence[tuple[str, str, str]]
) -> list[SensitivityClass]:
    """Add the classes of a starting set that are not there yet: code, label and definition each.

    A class that is there already stays as the museum wrote it.
    """
    allow(by=by, role=role, deed=Deed.OVERRIDE, at=at)
    have = set(SensitivityClass.objects.values_list("code", flat=True))
    return [
        SensitivityClass(code=code, label=label, definition=definition).keep(
            by=by, role=role, why="Class of a starting set.", at=at
        )
        for code, label, definition in classes
        if code not in have
    ]
