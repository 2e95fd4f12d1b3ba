"""Light that an instrument has logged: its dose by trapezia, its gaps, and what looks wrong of it.

Between two samples no more than twice the interval apart the light runs straight from one to the
other; a longer pause is a gap, in which nothing is known and nothing is counted here. Doses are
differences of one running sum that is rounded once for each minute, so that adjoining spans add up
exactly. Method: our own; the trapezium and the gap of twice the interval after `science` notes of
this project (common practice, no single source).
"""

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from functools import cached_property
from itertools import pairwise
from statistics import median
from typing import Final

from lifecycle.planning.lit_hours import LitCurve
from lifecycle.planning.quantities import LEVELS_PER_LX, Band, lux_of

FULL_COVER: Final = 100
"""A logger stands where the object does: no curtain is between them."""

LUX_PER_FOOT_CANDLE: Final = Decimal("10.764")
"""One lumen a square foot; 1 ft = 0.3048 m exactly, so 1 / 0.3048² lx, rounded."""

MOST_SAMPLES_COMPARED: Final = 1_500


def usual_interval(minutes: Sequence[int]) -> int:
    """Return the most frequent distance between samples [min]; the shortest of equals.

    :raises ValueError: with fewer than two samples
    """
    if len(minutes) < 2:
        raise ValueError("Two samples at least make a series.")
    steps = Counter(after - before for before, after in pairwise(minutes))
    return min(steps, key=lambda step: (-steps[step], step))


@dataclass(frozen=True)
class Logged:
    """One series: (minute since the epoch, level in half deci-lux), minutes rising."""

    samples: tuple[tuple[int, int], ...]
    interval: int

    @property
    def longest_step(self) -> int:
        """The longest pause that is bridged [min]."""
        return 2 * self.interval

    @cached_property
    def minutes(self) -> list[int]:
        return [minute for minute, _ in self.samples]

    @cached_property
    def gaps(self) -> list[tuple[int, int]]:
        """The spans between samples in which nothing is known, as (from, to) minutes."""
        return [
            (before, after)
            for before, after in pairwise(self.minutes)
            if after - before > self.longest_step
        ]

    @cached_property
    def _sums(self) -> list[int]:
        """Twice the level-minutes before each sample."""
        sums = [0]
        for (at, level), (then, following) in pairwise(self.samples):
            bridged = then - at <= self.longest_step
            sums.append(sums[-1] + ((level + following) * (then - at) if bridged else 0))
        return sums

    def _upto(self, minute: int) -> int:
        """Return the units of dose before a minute, rounded half up."""
        at = bisect_right(self.minutes, minute) - 1
        if at < 0:
            return 0
        twice = self._sums[at]
        start, level = self.samples[at]
        if at + 1 < len(self.samples) and minute > start:
            end, following = self.samples[at + 1]
            length, done = end - start, minute - start
            if length <= self.longest_step:
                # Twice the area under a straight line: (2·a·n + (b − a)·n²) / length.
                rise = (following - level) * done * done
                return FULL_COVER * twice // 2 + (
                    FULL_COVER * (2 * level * done * length + rise) + length
                ) // (2 * length)
        return FULL_COVER * twice // 2

    @cached_property
    def known(self) -> list[tuple[int, int]]:
        """The spans for which the series speaks, as (from, to) minutes, in order."""
        spans, start = [], self.minutes[0] if self.samples else 0
        for before, after in self.gaps:
            spans.append((start, before))
            start = after
        if self.samples:
            spans.append((start, self.minutes[-1]))
        return [(since, until) for since, until in spans if since < until]

    def levels_in(self, since: int, until: int) -> Band:
        """Return lowest, mean and highest of the samples that touch [since, until) [levels]."""
        first = max(bisect_right(self.minutes, since) - 1, 0)
        last = bisect_left(self.minutes, until) + 1
        found = [level for _, level in self.samples[first:last]] or [0]
        return Band(min(found), round(sum(found) / len(found)), max(found))

    def dose(self, since: int, until: int) -> int:
        """Return the dose logged in [since, until), in units; nothing inside gaps."""
        return self._upto(until) - self._upto(since) if until > since else 0

    def known_minutes(self, since: int, until: int) -> int:
        """Return the minutes in [since, until) for which the series speaks."""
        return sum(max(0, min(end, until) - max(start, since)) for start, end in self.known)

    @property
    def total(self) -> int:
        return self.dose(self.minutes[0], self.minutes[-1]) if self.samples else 0


def usual_lit_lux(samples: Sequence[tuple[int, int]]) -> Decimal | None:
    """Return the median of the samples above a tenth of the highest [lx]: what it is when lit."""
    highest = max((level for _, level in samples), default=0)
    lit = [level for _, level in samples if level * 10 > highest]
    if not lit:
        return None
    return (Decimal(median(lit)) / LEVELS_PER_LX).quantize(Decimal("0.1"), rounding=ROUND_HALF_UP)


def unit_doubt(samples: Sequence[tuple[int, int]], read_lux: Decimal | None) -> str:
    """Return the question a series is asked whose lux are far from what was read there by hand.

    :param read_lux: the last reading at the place [lx], or its ceiling; None when neither is known
    """
    usual = usual_lit_lux(samples)
    if usual is None:
        return (
            "Every sample is zero to a tenth of a lux: was the sensor covered, or does the file "
            "write kilolux?"
        )
    if read_lux is None or read_lux <= 0:
        if usual < 1 or usual > 5_000:
            return f"While lit it shows about {usual} lx: is the unit right?"
        return ""
    ratio = usual / read_lux
    if Decimal("0.2") <= ratio <= 5:
        return ""
    times = f"{usual} lx while lit, {read_lux} lx as read there by hand"
    if Decimal("0.5") <= ratio * 1000 <= 2:
        return f"{times}: does the file write kilolux?"
    if Decimal("0.5") <= ratio * LUX_PER_FOOT_CANDLE <= 2:
        return f"{times}: does the file write foot-candles?"
    if Decimal("0.5") <= ratio / 1000 <= 2 or Decimal("0.5") <= ratio / LUX_PER_FOOT_CANDLE <= 2:
        return f"{times}: does the file write lux after all?"
    return f"{times}: is the unit right, and is it the right place?"


def clock_doubt(samples: Sequence[tuple[int, int]], curve: LitCurve) -> str:
    """Return the question a series is asked whose light falls outside the lit hours of the place.

    Whole hours either way are tried: where the light would fit the timetable clearly better, the
    clock of the logger is doubted.
    """
    some = [one for one in samples if one[1]][:MOST_SAMPLES_COMPARED]
    whole = sum(level for _, level in some)
    if not whole:
        return ""

    def share(hours: int) -> float:
        shift = 60 * hours
        lit = sum(
            level for minute, level in some if curve.lit_minutes(minute + shift, minute + shift + 1)
        )
        return lit / whole

    as_given = share(0)
    if as_given >= 0.95:
        return ""
    best = max((h for h in range(-12, 13) if h), key=lambda h: (share(h), -abs(h)))
    if share(best) - as_given < 0.05:
        return ""
    way = "behind" if best > 0 else "ahead of"
    hours = f"{abs(best)} hour{'' if abs(best) == 1 else 's'}"
    return (
        f"{round(100 * (1 - as_given))} % of the light falls while the lamps are off by the "
        f"timetable; {hours} {'later' if best > 0 else 'earlier'} it would be "
        f"{round(100 * (1 - share(best)))} %: is the logger's clock {hours} {way} the one named?"
    )


def highest_lux(samples: Sequence[tuple[int, int]]) -> Decimal:
    """Return the brightest sample [lx]."""
    return lux_of(max((level for _, level in samples), default=0))
