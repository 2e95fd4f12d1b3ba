"""Whom an immediate mail goes to, and what on this day calls for one. Computed from rows."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import F, Q

from lifecycle.process.stages import Role
from lifecycle.queries.light import light_of
from lifecycle.queries.light.gathering import UP
from lifecycle.queries.movements import UNCONFIRMED_AFTER
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import DisplayPeriod, Face, Movement, Person, Showing


def holders(roles: Iterable[Role], at: datetime) -> list[Person]:
    """Return everybody who holds one of the roles today, deputies with dates too; one query."""
    wanted, today = [role.value for role in roles], museum_day(at)
    here = Q(ends_on=None) | Q(ends_on__gte=today)
    still = Q(roles__until_on=None) | Q(roles__until_on__gte=today)
    post = still & Q(roles__role__in=wanted, roles__from_on__lte=today)
    deputy = Q(
        deputy_for__role__in=wanted,
        deputy_for__from_on__lte=today,
        deputy_for__until_on__gte=today,
    )
    return list(Person.objects.filter(here & (post | deputy)).distinct().order_by("pk"))


@dataclass(frozen=True, slots=True, kw_only=True)
class LastDayCome:
    """A face still on show on the last day its light allows, or after it.

    ``level`` is 0 on the day itself and 1 from the next day on: that is what 'worse' means here.
    """

    period: DisplayPeriod
    showing: Showing
    face: Face
    last_day: date
    level: int


def last_days_come(at: datetime) -> list[LastDayCome]:
    """Return every face on show whose last permissible day is today or gone, in fixed queries."""
    periods = list(
        DisplayPeriod.objects.filter(
            closed_at=None,
            struck_at=None,
            opened_at__lte=at,
            showing__stage__in=[stage.value for stage in UP],
        )
        .select_related("showing__museum_object", "showing__exhibition__manager", "face", "place")
        .order_by("pk")
    )
    light = light_of([period.showing for period in periods], at)
    today = museum_day(at)
    found = []
    for period in periods:
        line = light[period.showing_id].of(period.face_id)
        if line is None or line.last_day is None or line.last_day > today:
            continue
        found.append(
            LastDayCome(
                period=period,
                showing=period.showing,
                face=period.face,
                last_day=line.last_day,
                level=int(line.last_day < today),
            )
        )
    return found


def movements_unconfirmed(at: datetime) -> list[Movement]:
    """Return movements after which nobody has said for 24 hours where the objects are."""
    gone = at - UNCONFIRMED_AFTER
    waiting = Q(arrived_at=None, left_at__lt=gone) | Q(arrived_at__lt=gone)
    rows = Movement.objects.filter(waiting, cancelled_at=None, arrival_confirmed_at=None)
    rows = rows.select_related("from_place", "to_place", "carried_by")
    return list(rows.prefetch_related("lines__museum_object").order_by(F("left_at"), "pk"))
