"""Light above the ceiling by half or more is told at once, and again only when it gets worse."""

from datetime import datetime
from decimal import Decimal

from lifecycle.actions.work.alarms import tell_conservators
from lifecycle.planning.lit_hours import LampState
from lifecycle.queries.light.oddness import Usual, readings_near
from lifecycle.records.models import LightReading, Message


def far_above(lux: Decimal, ceiling: int) -> bool:
    """Whether a reading [lx] is above the ceiling [lx] by half or more."""
    return 2 * lux >= 3 * ceiling


def tell_of_light(reading: LightReading, usual: Usual, at: datetime) -> None:
    """Tell the conservators, unless as much light was told of since it was last within bounds.

    The caller holds the lock on the reading's place, so that of two people who read it at once
    the second sees what the first one's reading told.
    """
    ceiling = usual.ceiling
    if reading.lamp_state != LampState.SHOW or ceiling is None:
        return
    if not far_above(reading.lux, ceiling) or _known(reading, ceiling, at):
        return
    tell_conservators(
        key=_key(reading),
        subject=f"{reading.place.name}: {reading.lux} lx, ceiling {ceiling} lx",
        body=(
            f"{reading.read_by.full_name} read {reading.lux} lx at {reading.place.name}. "
            f"The ceiling there is {ceiling} lx ({', '.join(usual.set_by)}). "
            "Have the lamps dimmed or re-aimed by somebody trained for it, and read again."
        ),
        why="light was read above the ceiling by half or more",
        page="readings",
        uid=reading.place.uid,
        at=at,
    )


def _key(reading: LightReading) -> str:
    return f"reading/{reading.uid}/above-ceiling"


def _known(reading: LightReading, ceiling: int, at: datetime) -> bool:
    """Whether it is no news: set right since, or told already at this height or above."""
    others = list(readings_near(reading.place, at, LampState.SHOW).exclude(pk=reading.pk))
    later = [row for row in others if row.read_at > reading.read_at]
    if any(not far_above(row.lux, ceiling) for row in later):
        return True
    told = {_key(row): row.lux for row in later}
    for row in reversed([row for row in others if row.read_at <= reading.read_at]):
        if not far_above(row.lux, ceiling):
            break
        told[_key(row)] = row.lux
    wrong = reading.corrects
    while wrong is not None and far_above(wrong.lux, ceiling):
        told[_key(wrong)], wrong = wrong.lux, wrong.corrects
    keys = [key for key, lux in told.items() if lux >= reading.lux]
    return Message.objects.filter(key__in=keys).exists()
