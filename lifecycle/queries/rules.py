"""House rules as they stand: every version with its limits by class."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from lifecycle.process.facts.showing import Rules
from lifecycle.process.offsets import OFFSETS
from lifecycle.process.readiness import READY_GATES
from lifecycle.process.stages import Role
from lifecycle.process.switches import ALWAYS, SWITCHED, Switch
from lifecycle.records.models import (
    ClassRule,
    Exhibition,
    GateDays,
    GateSwitch,
    HouseRules,
    SensitivityClass,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class GatesSaid:
    """Which gates a version leaves out, and the days it sets for gates of the readiness."""

    off: frozenset[str] = frozenset()
    days: Mapping[str, int] = field(default_factory=dict)
    working: frozenset[str] = frozenset()

    @property
    def taken(self) -> list[Switch]:
        return [gate for gate in Switch if gate not in self.off]

    @property
    def left_out(self) -> list[Switch]:
        return [gate for gate in Switch if gate in self.off]

    @property
    def offsets(self) -> list[tuple[str, str, int, str, bool]]:
        """Code, word, days, from when they are counted back, and whether in working days."""
        gates = [
            (
                ready.code,
                ready.label,
                self.days.get(ready.code, ready.days_before),
                "closing" if ready.before_close else "install",
                ready.code in self.working,
            )
            for ready in READY_GATES
            if not ready.codes <= frozenset(c for s in self.left_out for c in SWITCHED[s].codes)
        ]
        rules = Rules(days=self.days, working=self.working)
        more = [
            (one.code, one.label, one.days_in(rules), one.before, one.working_in(rules))
            for one in OFFSETS
        ]
        return gates + more


@dataclass(frozen=True, slots=True)
class RulesVersion:
    """One version with its limits and gates, and whether it is the one in force."""

    rules: HouseRules
    limits: Sequence[ClassRule]
    in_force: bool
    gates: GatesSaid

    @property
    def always(self) -> Sequence[tuple[str, str]]:
        """What can't be left out, with its words."""
        return ALWAYS

    @property
    def second_factor_words(self) -> str:
        """The roles asked for a second step, in words."""
        return ", ".join(Role(role).label for role in self.rules.second_factor_roles)


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
        in_use = rules.version == in_force
        shown = RulesVersion(rules, list(limits), in_use, gates_said(rules))
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


def gates_said(rules: HouseRules | None) -> GatesSaid:
    """Return what a version says of gates; without a word every gate is taken."""
    if rules is None:
        return GatesSaid()
    off = GateSwitch.objects.filter(house_rules=rules, taken=False).values_list("gate", flat=True)
    told = list(GateDays.objects.filter(house_rules=rules).order_by("pk"))
    return GatesSaid(
        off=frozenset(off),
        days={row.gate: row.days for row in told},
        working=frozenset(row.gate for row in told if row.working),
    )


def said_in(exhibition: Exhibition) -> dict[str, bool]:
    """Return what one exhibition does otherwise: on or off by gate."""
    rows = GateSwitch.objects.filter(exhibition=exhibition, taken__isnull=False)
    return {row.gate: bool(row.taken) for row in rows.order_by("pk")}
