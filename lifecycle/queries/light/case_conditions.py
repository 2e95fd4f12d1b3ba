"""What a case must keep for all that is or will be in it: the strictest of each, and who sets it.

Limits come from signed assessments, from the house rule of each face's class and from loan clauses
about light; where two bands of air leave nothing in common, both owners are named.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from lifecycle.process.numbers import reading_order
from lifecycle.process.stages import BEFORE_DISPLAY, Stage
from lifecycle.queries.light.gathering import Gathered
from lifecycle.queries.rights import museum_day, places_below
from lifecycle.records.models import (
    Appointment,
    Assessment,
    CaseReadiness,
    Place,
    Showing,
)
from lifecycle.records.models.display.rotation import STILL_TO_COME

HERE = (*BEFORE_DISPLAY, Stage.ON_DISPLAY, Stage.ROTATION)


@dataclass(frozen=True, slots=True, kw_only=True)
class Binding:
    """The strictest figure of a kind, the objects that set it, and what the others allow."""

    value: Decimal
    set_by: tuple[str, ...]
    others: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Common:
    """What several bands have in common; ``conflict`` names both owners where that is nothing."""

    low: Decimal | None
    high: Decimal | None
    conflict: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class InCase:
    """One object that is or will be in the case."""

    showing: Showing
    conditions: Assessment | None
    lux: int | None
    uv: int | None
    clauses: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseConditions:
    """All that the case must keep."""

    place: Place
    inside: tuple[InCase, ...]
    lux: Binding | None
    uv: Binding | None
    weeks: Binding | None
    temperature: Common | None
    humidity: Common | None
    change_24h: Binding | None
    openings: tuple[Appointment, ...]
    readiness: CaseReadiness | None

    @property
    def not_assessed(self) -> tuple[str, ...]:
        return tuple(
            one.showing.museum_object.object_number for one in self.inside if one.conditions is None
        )


def strictest(rows: Iterable[tuple[Decimal | int | None, str]], unit: str) -> Binding | None:
    """Return the lowest of some limits with who sets it; None when nobody sets one."""
    known = [(Decimal(value), who) for value, who in rows if value is not None]
    if not known:
        return None
    least = min(value for value, _ in known)
    return Binding(
        value=least,
        set_by=tuple(dict.fromkeys(who for value, who in known if value == least)),
        others=tuple(f"{who} {value:f} {unit}" for value, who in known if value != least),
    )


def common_band(
    rows: Sequence[tuple[Decimal | None, Decimal | None, str]], unit: str
) -> Common | None:
    """Return the band inside all of some bands; None when nobody sets one."""
    lows = [(low, who) for low, _, who in rows if low is not None]
    highs = [(high, who) for _, high, who in rows if high is not None]
    low = max(lows, default=None, key=lambda one: one[0])
    high = min(highs, default=None, key=lambda one: one[0])
    if low is None and high is None:
        return None
    conflict = ""
    if low is not None and high is not None and low[0] > high[0]:
        conflict = (
            f"{low[1]} asks for at least {low[0]:f} {unit}, {high[1]} for at most {high[0]:f} "
            f"{unit}: they can't share one case."
        )
    return Common(
        low=None if low is None else low[0], high=None if high is None else high[0],
        conflict=conflict,
    )  # fmt: skip


def case_conditions(place: Place, at: datetime) -> CaseConditions:
    """Return what a case or position must keep from now on, in a fixed number of queries."""
    below = places_below([place.pk])
    showings = list(
        Showing.objects.filter(place__in=below, stage__in=[stage.value for stage in HERE])
        .select_related("exhibition", "museum_object__lender", "place", "loan")
        .prefetch_related("museum_object__hazards")
        .order_by("pk")
    )
    showings.sort(key=lambda row: reading_order(row.museum_object.object_number))
    gathered = Gathered([], at, showings=showings)
    signed = Assessment.objects.filter(showing__in=showings).exclude(digest="")
    assessed = {row.showing_id: row for row in signed.defer("signed_text").order_by("version")}
    inside = tuple(_in_case(row, gathered, assessed.get(row.pk)) for row in showings)
    numbered = [(one, one.showing.museum_object.object_number) for one in inside]
    said = [(one.conditions, who) for one, who in numbered if one.conditions is not None]
    openings = (
        Appointment.objects.filter(
            place__in=below, state__in=STILL_TO_COME, day__gte=museum_day(at)
        )
        .select_related("showing__museum_object", "other_showing__museum_object")
        .order_by("day", "slot", "pk")
    )
    made = CaseReadiness.objects.filter(place=place).order_by("-pk").first()
    return CaseConditions(
        place=place,
        inside=inside,
        lux=strictest(((one.lux, who) for one, who in numbered), "lx"),
        uv=strictest(((one.uv, who) for one, who in numbered), "µW/lm"),
        weeks=strictest(((row.max_weeks, who) for row, who in said), "weeks"),
        temperature=common_band([(r.t_min_c, r.t_max_c, who) for r, who in said], "°C"),
        humidity=common_band([(r.rh_min, r.rh_max, who) for r, who in said], "% RH"),
        change_24h=strictest(((row.rh_change_24h, who) for row, who in said), "% RH"),
        openings=tuple(openings),
        readiness=made,
    )


def _in_case(showing: Showing, gathered: Gathered, conditions: Assessment | None) -> InCase:
    lux, uv = gathered.ceilings_of(showing)
    return InCase(
        showing=showing,
        conditions=conditions,
        lux=lux,
        uv=uv,
        clauses=tuple(row.text for row in gathered.clauses[showing.pk]),
    )
