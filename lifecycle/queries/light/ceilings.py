"""What an object does to the light of a case: too bright for it, or lowered for the others."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db.models import Q

from lifecycle.planning.lit_hours import LampState
from lifecycle.process.stages import BEFORE_DISPLAY
from lifecycle.queries.light.gathering import Gathered
from lifecycle.queries.light.oddness import readings_near
from lifecycle.queries.light.watching import CaseCeiling, case_ceiling
from lifecycle.queries.rights import case_around
from lifecycle.records.models import Place, Showing


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseWithIt:
    """A case as it is and with one object more; illuminance in lx."""

    case: Place
    now: CaseCeiling
    own: int | None
    others: Mapping[str, int]
    """Object numbers that set it without this one, those planned into the case too."""
    reads: Decimal | None
    warnings: tuple[str, ...]

    @property
    def ceiling(self) -> int | None:
        """The case's ceiling with the object in it."""
        known = [lux for lux in (self.now.lux, self.own) if lux is not None]
        return min([*known, *self.others.values()], default=None)


def planned_into(case: Place, but: Showing) -> list[Showing]:
    """Return the other showings that are planned into a case and not installed yet."""
    inside = Q(place=case) | Q(place__parent=case)
    rows = Showing.objects.filter(inside, stage__in=[stage.value for stage in BEFORE_DISPLAY])
    return list(rows.exclude(pk=but.pk).order_by("pk"))


def case_with(showing: Showing, place: Place, at: datetime) -> CaseWithIt:
    """Return what it means for a case that this showing's object is put into it."""
    case = case_around(place)
    coming = planned_into(case, showing)
    gathered = Gathered([], at, showings=[showing, *coming])
    kept = gathered.showings[showing.pk]
    own = gathered.ceilings_of(kept)[0]
    now = case_ceiling(case, at)
    number = kept.museum_object.object_number
    others: dict[str, int] = {}
    if now.lux is not None:
        others = dict.fromkeys((one for one in now.set_by if one != number), now.lux)
    for row in coming:
        their = gathered.ceilings_of(gathered.showings[row.pk])[0]
        if their is not None:
            others[gathered.showings[row.pk].museum_object.object_number] = their
    strictest = min(others.values(), default=None)
    read = (
        readings_near(place, at, LampState.SHOW).order_by("-read_at", "-pk").first()
        or readings_near(case, at, LampState.SHOW).order_by("-read_at", "-pk").first()
    )
    reads = None if read is None else read.lux
    warnings = []
    if own is None:
        warnings.append(f"{number} has no lux ceiling yet: set its class or sign its assessment.")
    if own is not None and reads is not None and reads > own:
        warnings.append(
            f"{case.name} is too bright for {number}: {reads.normalize():f} lx were read there, "
            f"it may have {own} lx."
        )
    if own is not None and strictest is not None and own < strictest:
        named = ", ".join([*others, *now.others])
        warnings.append(
            f"{number} lowers the ceiling of {case.name} from {strictest} to {own} lx for {named}."
        )
    return CaseWithIt(
        case=case, now=now, own=own, others=others, reads=reads, warnings=tuple(warnings)
    )
